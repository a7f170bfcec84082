/**
 * A pressure curve as columns of equal length, in time order. Times are seconds from the start of the record,
 * pressures pascal relative to atmosphere; `NaN` means "not measured" in the two optional columns.
 */
export interface Curve {
  time_s: Float64Array;
  pressure_Pa: Float64Array;
  air_C: Float64Array | null;
  ambient_Pa: Float64Array | null;
}

/** Element `i` of a numeric column; outside it that is a defect of ours, said as such. */
export function at(column: ArrayLike<number>, i: number): number {
  const value = column[i];
  if (value === undefined) throw new RangeError(`index ${i} outside a column of ${column.length}`);
  return value;
}
