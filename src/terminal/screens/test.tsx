import { Box, Transform } from "ink";
import { memo } from "react";
import { type Line, paint } from "../parts/line.ts";
import { layTest } from "./testLayout.ts";
import type { TestState } from "./testState.ts";

/**
 * One row. ink 6.8 remembers every text it has ever measured and never forgets one, so it is given the same blanks for every
 * text of this width, and what is really to be seen is put in their place when the row is written.
 */
const Row = memo(function Row({ text, columns }: { text: string; columns: number }) {
  return <Transform transform={() => text}>{" ".repeat(columns)}</Transform>;
});

/** The hands-free test screen. It only draws; its state is folded by `nextTestState`. */
export function TestScreen({ state }: { state: TestState }) {
  const rows: readonly Line[] = layTest(state);
  return (
    <Box flexDirection="column">
      {rows.map((row, y) => (
        <Row
          // biome-ignore lint/suspicious/noArrayIndexKey: a row of a screen is what stands at that height
          key={y}
          text={paint(row, state.columns, state.colour)}
          columns={state.columns}
        />
      ))}
    </Box>
  );
}
