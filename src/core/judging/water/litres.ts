/** A volume for a sentence: hundredths below a litre, tenths above. */
export const litres = (value_L: number): string => `${value_L.toFixed(Math.abs(value_L) < 1 ? 2 : 1)} L`;
