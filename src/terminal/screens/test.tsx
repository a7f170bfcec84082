import { Rows } from "../parts/rows.tsx";
import { layTest } from "./testLayout.ts";
import type { TestState } from "./testState.ts";

/** The hands-free test screen. It only draws; its state is folded by `nextTestState`. */
export function TestScreen({ state }: { state: TestState }) {
  return <Rows rows={layTest(state)} columns={state.columns} colour={state.colour} />;
}
