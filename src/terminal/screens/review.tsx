import { Rows } from "../parts/rows.tsx";
import { layReview } from "./reviewLayout.ts";
import type { ReviewScreenState } from "./reviewState.ts";

/** The supervisor's screen. It only draws; its state is folded by `nextReview`. */
export function ReviewScreen({ state }: { state: ReviewScreenState }) {
  return <Rows rows={layReview(state)} columns={state.columns} colour={state.colour} />;
}
