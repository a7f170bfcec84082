import { Box, Transform } from "ink";
import { memo } from "react";
import { type Line, paint } from "./line.ts";

/**
 * One row. ink 6.8 remembers every text it has ever measured and never forgets one, so it is given the same blanks for every
 * text of this width, and what is really to be seen is put in their place when the row is written.
 */
const Row = memo(function Row({ text, columns }: { text: string; columns: number }) {
  return <Transform transform={() => text}>{" ".repeat(columns)}</Transform>;
});

/** A whole screen of rows, as laid out. */
export function Rows({ rows, columns, colour }: { rows: readonly Line[]; columns: number; colour: boolean }) {
  return (
    <Box flexDirection="column">
      {rows.map((row, y) => (
        <Row
          // biome-ignore lint/suspicious/noArrayIndexKey: a row of a screen is what stands at that height
          key={y}
          text={paint(row, columns, colour)}
          columns={columns}
        />
      ))}
    </Box>
  );
}
