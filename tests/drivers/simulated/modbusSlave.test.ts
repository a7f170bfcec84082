import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { withCrc16 } from "../../../drivers/framing/crc16.ts";
import { findDriver } from "../../../drivers/index.ts";
import { hearModbus } from "../../../drivers/simulated/modbusSlave.ts";
import { step } from "../../../drivers/simulated/pipe.ts";
import { simulatedSettings } from "../../../drivers/simulated/settings.ts";
import { listen, notSpokenTo, speak, speakerFor } from "../../../drivers/simulated/speaker.ts";
import type { PipeState } from "../../../drivers/simulated/state.ts";
import { limitsFor } from "../../../src/core/methods/index.ts";
import { closedLoop } from "../../support/closedLoop.ts";
import { LOW, pipeOf, runTo } from "./figures.ts";

const modbus = (options: Record<string, string> = {}): PipeState => pipeOf({ protocol: "modbus", ...options }, LOW, 1000);
const ask = (fn: number, register: number, count: number): Uint8Array => withCrc16([1, fn, 0, register, 0, count]);
const SILENT = { held: "", waiting: 0 };

describe("the simulated gauge as Modbus slave", () => {
  it.each([3, 4])("answers function %d with its pressure at the next sample, once", (fn) => {
    const state = modbus();
    const heard = listen(notSpokenTo, state, ask(fn, 0, 2));
    expect(heard.said).toBeNull();
    const next = step(state, []);
    const answer = speak(heard.spokenTo, next);
    // 1000 = 0x447A0000 in IEEE 754 binary32.
    expect(answer.said).toEqual(withCrc16([1, fn, 4, 0x44, 0x7a, 0, 0]));
    expect(speak(answer.spokenTo, next).said).toBeNull();
  });

  it("gives one register alone", () => {
    const state = modbus();
    const heard = listen(notSpokenTo, state, ask(3, 1, 1));
    expect(speak(heard.spokenTo, step(state, [])).said).toEqual(withCrc16([1, 3, 2, 0, 0]));
  });

  it.each([
    ["another function", ask(6, 0, 2), [1, 0x86, 1]],
    ["a register it does not have", ask(3, 1, 2), [1, 0x83, 2]],
    ["no register at all", ask(4, 0, 0), [1, 0x84, 3]],
    ["more registers than fit", ask(4, 0, 126), [1, 0x84, 3]],
  ])("refuses %s at once", (_, question, answer) => {
    expect(listen(notSpokenTo, modbus(), question).said).toEqual(withCrc16(answer));
  });

  it("takes no notice of other slaves' questions and of a wrong CRC, and puts a question together from pieces", () => {
    const question = ask(4, 0, 2);
    expect(hearModbus(SILENT, withCrc16([2, 4, 0, 0, 0, 2]))).toMatchObject({ waiting: 0, said: null });
    expect(hearModbus(SILENT, Uint8Array.from([...question.subarray(0, 7), 0]))).toMatchObject({ waiting: 0, said: null });
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 40 }), fc.integer({ min: 1, max: 7 }), (noise, cut) => {
        let heard = hearModbus(SILENT, noise);
        expect(heard.held.length).toBeLessThanOrEqual(8);
        for (const part of [question.subarray(0, cut), question.subarray(cut)]) heard = hearModbus(heard, part);
        expect(heard).toMatchObject({ held: String.fromCharCode(...question), waiting: 1, said: null });
      }),
    );
  });

  it("says nothing while silent", () => {
    const silent = runTo(modbus({ silence: "1:5" }), 2).at(-1) ?? modbus();
    expect(listen(notSpokenTo, silent, ask(4, 0, 2))).toEqual({ spokenTo: notSpokenTo, said: null });
  });

  it("is read by the driver named for it, in whatever unit it was switched to", () => {
    const state = runTo(modbus({ unit: "60:0" }), 60).at(-1) ?? modbus();
    const { protocol, driverOptions } = speakerFor(state.plan.settings);
    const driver = findDriver(protocol).create(driverOptions);
    const opened = driver.next(driver.start(), { kind: "opened", at_ms: 0 });
    const heard = listen(notSpokenTo, state, opened.send[0] ?? new Uint8Array());
    const said = speak(heard.spokenTo, state).said ?? new Uint8Array();
    // A register has no unit: a gauge switched to mbar says 10 where it said 1000.
    expect(driver.next(opened.state, { kind: "bytes", at_ms: 9, bytes: said }).readings).toEqual([
      { at_ms: 9, pressure_Pa: 10, unit: null },
    ]);
  });

  it.each(["1", "5", "100"])("its options suit the driver at %s readings a second", (rate) => {
    const chosen = speakerFor(simulatedSettings({ protocol: "modbus", rate }, LOW));
    expect(findDriver(chosen.protocol).create(chosen.driverOptions).protocol).toBe("modbus");
  });
});

describe("a whole test read over Modbus", () => {
  const limits = limitsFor("en1610-la", { dn_mm: 100, material: "pvc", laid_length_m: 30 });

  it.each([
    ["0.5", "pass"],
    ["1.5", "fail"],
  ])("of a pipe leaking %s times the limit: %s", async (leak, word) => {
    const { journal, last } = await closedLoop({ sim: `leak=${leak}&seed=4&protocol=modbus`, limits, keep: false });
    expect(last.judge.verdict?.verdict).toBe(word);
    // Five samples a second, each asked for and answered once.
    const answers = journal.filter((event) => event.kind === "bytes-in");
    const span_s = ((answers.at(-1)?.at_ms ?? 0) - (answers[0]?.at_ms ?? 0)) / 1000;
    expect(answers.length - 1).toBe(Math.round(span_s * 5));
    expect(answers.every((event) => event.bytes.length === 9)).toBe(true);
  });
});
