import { expect, it } from "vitest";
import { LateWriter } from "../../src/commands/lateWriter.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import type { RecordEnd } from "../../src/core/record.ts";
import { FedJudge } from "../support/fedJudge.ts";

const wake = (seq: number): JournalEvent => ({ kind: "wake", seq, at_ms: seq, wall_ms: seq });
const END: RecordEnd = { ended_wall_ms: 5, verdict: new FedJudge().rest(5).end() };

function late() {
  const log: (number | string)[] = [];
  const troubles: unknown[] = [];
  let onTrouble: (error: unknown) => void = () => undefined;
  const writer = new LateWriter(
    () => {
      log.push("made");
      return {
        append: (event) => void log.push(event.seq),
        end: async () => void log.push("end"),
        onTrouble: (listener) => {
          onTrouble = listener;
        },
      };
    },
    (error) => void troubles.push(error),
  );
  return { log, troubles, writer, trouble: (error: unknown) => onTrouble(error) };
}

it("makes the record once, with what came before first", async () => {
  const { log, writer } = late();
  writer.append(wake(0));
  writer.append(wake(1));
  expect([writer.made, log]).toEqual([false, []]);
  writer.make();
  writer.make();
  writer.append(wake(2));
  await writer.end(END);
  expect([writer.made, log]).toEqual([true, ["made", 0, 1, 2, "end"]]);
});

it("leaves no record of a gauge that never spoke", async () => {
  const { log, writer } = late();
  writer.append(wake(0));
  await writer.end(END);
  expect(log).toEqual([]);
});

it("hands on what the disk says while the test goes on", () => {
  const { troubles, writer, trouble } = late();
  writer.make();
  trouble("full");
  expect(troubles).toEqual(["full"]);
});
