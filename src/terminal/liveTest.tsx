import { render, useInput } from "ink";
import { useCallback } from "react";
import { type KeyMeaning, meaningOf } from "./parts/keys.ts";
import { TestScreen } from "./screens/test.tsx";
import type { TestState } from "./screens/testState.ts";

interface LiveProps {
  state: TestState;
  onKey: (meaning: KeyMeaning) => void;
}

function LiveTest({ state, onKey }: LiveProps) {
  // The same function at every frame, or ink would take its key listener off and on ten times a second.
  useInput(
    useCallback(
      (input, key) => {
        const meaning = meaningOf(input, key);
        if (meaning !== null) onKey(meaning);
      },
      [onKey],
    ),
  );
  return <TestScreen state={state} />;
}

export interface MountedTest {
  draw(state: TestState): void;
  unmount(): void;
}

/** Draws the screen with ink and keeps it; `onError` hears a drawing that fell over. Both streams must be terminals. */
export function mountTest(
  streams: { stdin: NodeJS.ReadStream; stdout: NodeJS.WriteStream },
  first: TestState,
  onKey: (meaning: KeyMeaning) => void,
  onError: (error: unknown) => void,
): MountedTest {
  // The pace is ours (runTest.tsx); ink's own throttle only has to stay out of its way.
  const instance = render(<LiveTest state={first} onKey={onKey} />, { ...streams, exitOnCtrlC: false, maxFps: 1000 });
  instance.waitUntilExit().catch(onError);
  return {
    draw: (state) => instance.rerender(<LiveTest state={state} onKey={onKey} />),
    unmount: () => instance.unmount(),
  };
}
