import { type OpenedRecord, sealWords, secondWords, shownWord } from "../../core/review/opened.ts";
import { plainText } from "../../core/text.ts";
import { wrap } from "../parts/cells.ts";
import { type Line, type Look, plainLine } from "../parts/line.ts";
import { sourceWord } from "../plain.ts";
import { lossWords, reviewWords, signatureWords } from "./recordWords.ts";
import { recordChart } from "./reviewChart.ts";
import { type ReviewScreenState, rowAt, shownRecord } from "./reviewState.ts";
import { WORD_LOOKS } from "./reviewTable.ts";

/** Method, gauge and tester, for which the list has little room. */
function whoWords(state: ReviewScreenState): string {
  const { method, gauge, tester } = state.book.row(rowAt(state));
  return [plainText(method, 30), plainText(gauge, 30), plainText(tester, 40)].filter((text) => text !== "").join(" · ");
}

/** The record under the cursor beside the list: verdict, curve, why. */
export function sideRows(state: ReviewScreenState, columns: number, rows: number): Line[] {
  const record = shownRecord(state);
  if (record === null) {
    const words = state.trouble ?? (state.hits.length === 0 ? "Nothing fits what is looked for." : "The curve is being worked out …");
    return wrap(plainText(words, 300), columns).map((text) => plainLine(text, { dim: true }));
  }
  const { start, end } = record;
  const word = shownWord(record);
  const source = sourceWord(start.source);
  const seal = sealWords(record);
  const told = (text: string, look: Look = {}): Line[] => wrap(text, columns).map((line) => plainLine(line, look));
  const second = secondWords(record);
  const [last, signed] = [record.reviews.at(-1), record.signatures.at(-1)];
  const above = [
    ...told(`${word.toUpperCase()} · ${plainText(start.stage, 20)}${start.section.dn_mm === null ? "" : ` · DN ${start.section.dn_mm}`}`, {
      bold: true,
      ...WORD_LOOKS[word],
    }),
    ...(source === null ? [] : told(`${source}: proves no section`, { bold: true })),
    ...(seal === null ? [] : told(seal, { bold: true })),
    ...told(plainText(start.section.id, 60)),
    ...told(whoWords(state)),
    ...told(lossWords(record)),
    ...(second === null ? [] : told(second, { bold: true })),
    ...(last === undefined ? [] : told(reviewWords(last)).slice(0, 3)),
    ...(signed === undefined ? [] : told(signatureWords(signed)).slice(0, 3)),
  ];
  const { reasons = [], remarks = [] } = (record.altered === null ? end?.verdict : null) ?? {};
  const below = [...reasons, ...remarks].flatMap(({ text }) => told(`• ${plainText(text, 300)}`));
  const room = rows - above.length - Math.min(below.length, Math.floor(rows / 3));
  return [...above, ...charts(record, columns, Math.min(Math.max(7, room), rows - above.length)), ...below].slice(0, rows);
}

/** Rows from which the hold gets a picture of its own under that of the whole curve. */
const TWO_CHARTS = 22;

function charts(record: OpenedRecord, columns: number, rows: number): Line[] {
  const { from_s = null, to_s = null } = record.end?.verdict.hold ?? {};
  const whole = { columns, window: null, at_s: null };
  if (rows < TWO_CHARTS || from_s === null || to_s === null) return recordChart(record, { ...whole, rows });
  const half = Math.floor(rows / 2);
  return [
    ...recordChart(record, { ...whole, rows: half }),
    ...recordChart(record, { ...whole, rows: rows - half, window: { from_s, to_s } }),
  ];
}
