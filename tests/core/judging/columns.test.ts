import { expect, it } from "vitest";
import { Columns } from "../../../src/core/judging/columns.ts";

it("keeps every reading in order beyond any first size", () => {
  const columns = new Columns();
  for (let i = 0; i < 5000; i++) columns.push(i, 2 * i, null, undefined);
  const curve = columns.curve();
  expect(columns.length).toBe(5000);
  expect([curve.time_s[4999], curve.pressure_Pa[4999], curve.time_s.length]).toEqual([4999, 9998, 5000]);
  expect([curve.air_C, curve.ambient_Pa]).toEqual([null, null]);
});

it("has the optional columns once anything was measured, NaN where nothing was", () => {
  const columns = new Columns();
  columns.push(0, 1, null, 101_325);
  columns.push(1, 1, 12.5, undefined);
  const { air_C, ambient_Pa } = columns.curve();
  expect([...(air_C ?? [])]).toEqual([Number.NaN, 12.5]);
  expect([...(ambient_Pa ?? [])]).toEqual([101_325, Number.NaN]);
});
