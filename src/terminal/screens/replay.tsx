import { Rows } from "../parts/rows.tsx";
import { layReplay } from "./replayLayout.ts";
import type { ReplayState } from "./replayState.ts";

/** The replay screen. It only draws; its state is folded by `nextReplay`. */
export function ReplayScreen({ state }: { state: ReplayState }) {
  return <Rows rows={layReplay(state)} columns={state.columns} colour={state.colour} />;
}
