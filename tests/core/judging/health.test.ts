import { expect, it } from "vitest";
import { Health } from "../../../src/core/judging/health.ts";

it("knows nothing before the first reading", () => {
  expect(new Health().view(5)).toEqual({
    up: false,
    readings: 0,
    rate_Hz: null,
    silent_s: null,
    outages: 0,
    unusedBytes: 0,
    identity: null,
  });
});

it("counts readings, their rate, outages and bytes that were none", () => {
  const health = new Health();
  health.link(false);
  health.link(true);
  for (let i = 0; i <= 50; i++) health.reading(i / 5);
  health.link(false);
  health.link(false);
  health.link(true);
  health.unused(3);
  health.unused(4);
  health.named("a gauge");
  expect(health.view(12)).toEqual({
    up: true,
    readings: 51,
    rate_Hz: expect.closeTo(5, 6),
    silent_s: 2,
    outages: 1,
    unusedBytes: 7,
    identity: "a gauge",
  });
});
