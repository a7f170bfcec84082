import { render, useInput } from "ink";
import type { ComponentType, ReactNode } from "react";
import type { KeyPress } from "./parts/keys.ts";
import { pressesOf } from "./parts/presses.ts";

/** What a key means on a screen; `null` for keys that mean nothing there. */
export type KeyReader<M> = (input: string, key: KeyPress) => M | null;

export interface Mounted<S> {
  draw(state: S): void;
  unmount(): void;
}

interface MountParts<S, M> {
  streams: { stdin: NodeJS.ReadStream; stdout: NodeJS.WriteStream };
  screen: ComponentType<{ state: S }>;
  first: S;
  keys: KeyReader<M>;
  onKey: (meaning: M) => void;
  /** Hears a drawing that fell over. */
  onError: (error: unknown) => void;
}

/** A screen that hears keys. `onPress` must be the same function at every frame, or ink would take its key listener off and on ten times a second. */
function Keyed({ onPress, children }: { onPress: (input: string, key: KeyPress) => void; children: ReactNode }) {
  useInput(onPress);
  return children;
}

/** Draws a screen with ink and keeps it. Both streams must be terminals. */
export function mountScreen<S, M>({ streams, screen: Screen, first, keys, onKey, onError }: MountParts<S, M>): Mounted<S> {
  const onPress = (input: string, key: KeyPress): void => {
    for (const press of pressesOf(input, key)) {
      const meaning = keys(...press);
      if (meaning !== null) onKey(meaning);
    }
  };
  const whole = (state: S) => (
    <Keyed onPress={onPress}>
      <Screen state={state} />
    </Keyed>
  );
  // The pace is ours (runScreen.ts); ink's own throttle only has to stay out of its way.
  const instance = render(whole(first), { ...streams, exitOnCtrlC: false, maxFps: 1000 });
  instance.waitUntilExit().catch(onError);
  return { draw: (state) => instance.rerender(whole(state)), unmount: () => instance.unmount() };
}
