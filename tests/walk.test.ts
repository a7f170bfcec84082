import { expect, it } from "vitest";
import { findDriver } from "../drivers/index.ts";
import type { PipeState } from "../drivers/simulated/state.ts";
import { trueLoss_Pa } from "../drivers/simulated/truth.ts";
import { limitsFor } from "../src/core/methods/index.ts";
import { fold, startFold } from "../src/session/fold.ts";
import { verdictLines } from "../src/terminal/plain.ts";
import { closedLoop } from "./support/closedLoop.ts";

/**
 * One walk through the house: bytes of a gauge → driver → judge → verdict → the lines people read.
 * EN 1610 LC for DN 150: 100 mbar, 15 mbar in 3 min (EN 1610:2015, table 3), on a simulated pipe with half the permitted leak.
 */
it("bytes become the page", async () => {
  const limits = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 45 });
  const pipe: PipeState[] = [];
  const { start, journal } = await closedLoop({ sim: "leak=0.5&seed=7", limits, keep: false, watch: (state) => void pipe.push(state) });

  const heard = journal.find(({ kind }) => kind === "bytes-in");
  expect(heard?.kind === "bytes-in" && new TextDecoder().decode(heard.bytes)).toMatch(/^[-+ ]*\d+(\.\d+)? *Pa\r?\n$/);

  const house = startFold(findDriver(start.gauge.protocol).create(start.gauge.driverOptions ?? {}), start);
  for (const event of journal) fold(house, event);
  const { verdict } = house.judge;
  if (verdict === null) throw new Error("no verdict");
  const page = verdictLines(verdict, "mbar");

  expect(page.slice(0, 2)).toEqual(["PASS: tight by this method", "SIMULATED: proves no section"]);
  expect(page[2]).toMatch(/^hold: 3:00 of 3:00, from \d+:\d\d to \d+:\d\d; start \d+\.\d mbar, end \d+\.\d mbar$/);
  expect(page).toContain("method: EN 1610, air, LC (EN 1610:2015, 13.2, Table 3)");
  // What the pipe itself lost through its hole; what is left of the air's own settling may come to a tenth of what is permitted.
  const at = (time_s: number | null) => pipe.find((state) => state.time_s >= (time_s ?? Number.NaN));
  const [from, to] = [at(verdict.hold.from_s), at(verdict.hold.to_s)];
  if (from === undefined || to === undefined) throw new Error("the pipe was not watched over the hold");
  const told = /^drop: (\S+) ± \S+ mbar \(95 %\), permitted 15\.0 mbar$/.exec(page[3] ?? "")?.[1];
  expect(Math.abs(Number(told) - trueLoss_Pa(from, to) / 100)).toBeLessThan(1.5);
});
