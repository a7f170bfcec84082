import { expect, it } from "vitest";
import { PlainTest } from "../../src/commands/testOutput.ts";
import { FedJudge, startWith } from "../support/fedJudge.ts";
import { testIo } from "../support/io.ts";

/** Twenty seconds of an open gauge shown as wished. */
function shown(wants: { json: boolean; events: boolean }) {
  const io = testIo();
  const start = startWith(undefined, { source: "simulated" });
  const plain = new PlainTest(io, start, wants);
  plain.opening(["Keep clear."]);
  const fed = new FedJudge();
  for (let t = 0; t < 25; t++) {
    fed.feed(1, () => 0);
    plain.update(fed.judge.view(1000 * t), []);
  }
  plain.update(fed.judge.view(25_000), [{ at_s: 25, code: "ask", text: "Pump\u001b[2J", bell: null }]);
  plain.verdict(fed.end());
  return io;
}

it("goes to stdout in lines: source, section, cautions, a tick each ten seconds, the verdict", () => {
  const { outText, errText } = shown({ json: false, events: false });
  expect(errText).toEqual([]);
  expect(outText.slice(0, 3)).toEqual(["SIMULATED: proves no section.", "Section S1, laid: EN 1610 LA.", "  ! Keep clear."]);
  expect(outText.filter((line) => line.includes(" idle · "))).toHaveLength(2);
  expect(outText.some((line) => line.startsWith("VOID"))).toBe(true);
  expect(outText.join("")).not.toContain("\u001b");
});

it("goes to stderr beside --json, and as one object a line to stdout with --events", () => {
  expect(shown({ json: true, events: false }).outText).toEqual([]);
  const { outText, errText } = shown({ json: false, events: true });
  expect(outText.map((line) => JSON.parse(line).event)).toEqual(["start", "tick", "tick", "turn", "verdict"]);
  expect(errText.length).toBeGreaterThan(4);
});
