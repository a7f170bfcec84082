import { describe, expect, it } from "vitest";
import { VentWatch } from "../../../src/core/judging/ventWatch.ts";

/** A gauge that shows `pressure` at `rate_Hz`. */
function watched(pressure: (t: number) => number, rate_Hz: number, to_s = 30): VentWatch {
  const watch = new VentWatch(1000);
  for (let i = 0; i <= to_s * rate_Hz; i++) watch.reading(i / rate_Hz, pressure(i / rate_Hz));
  return watch;
}

/** Opened after 3 s, emptying with a time constant. */
const opened = (tau_s: number) => (t: number) => (t < 3 ? 1000 : 1000 * Math.exp(-(t - 3) / tau_s));

describe("the opening after the hold", () => {
  it.each([
    [5, 1.5],
    [5, 8],
    [1, 3],
    [50, 0.5],
  ])("followed at the pipe's own pace proves a gauge of %d Hz (emptying with %f s)", (rate_Hz, tau_s) => {
    expect(watched(opened(tau_s), rate_Hz)).toMatchObject({ begun: true, empty: true, proven: true, collapsed: false });
  });

  it.each([1, 5])("within one sample shows the gauge's own hose at %d Hz", (rate_Hz) => {
    expect(watched((t) => (t < 3 ? 1000 : 0), rate_Hz)).toMatchObject({ empty: true, proven: false, collapsed: true });
  });

  it("not seen at all proves nothing", () => {
    expect(watched((t) => 1000 - t, 5)).toMatchObject({ begun: false, empty: false, proven: false, collapsed: false });
  });

  it("half seen is begun and no more", () => {
    expect(watched((t) => Math.max(300, 1000 - 50 * t), 5)).toMatchObject({ begun: true, empty: false, proven: false });
  });

  it("with one reading on the way counts for a slow gauge only", () => {
    const oneOnTheWay = (t: number) => (t < 3 ? 1000 : t < 3.9 ? 500 : 0);
    expect(watched(oneOnTheWay, 1).proven).toBe(true);
    const quick = new VentWatch(1000);
    for (const [t, p] of [
      [0, 1000],
      [0.2, 500],
      [0.4, 0],
    ] as const)
      quick.reading(t, p);
    expect(quick).toMatchObject({ proven: false, collapsed: true });
  });

  it("is not undone by pumping up again", () => {
    const watch = watched(opened(2), 5);
    watch.reading(40, 1000);
    expect(watch.proven).toBe(true);
  });
});
