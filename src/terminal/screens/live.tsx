import { Rows } from "../parts/rows.tsx";
import { layLive } from "./liveLayout.ts";
import type { LiveState } from "./liveState.ts";

/** The screen of a gauge with no test. It only draws; its state is folded by `nextLiveState`. */
export function LiveScreen({ state }: { state: LiveState }) {
  return <Rows rows={layLive(state)} columns={state.columns} colour={state.colour} />;
}
