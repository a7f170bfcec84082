/** Standard gravity, m/s²; by definition. */
const GRAVITY = 9.80665;

/** Area of a round bore in m². */
export const boreArea_m2 = (bore_mm: number): number => (Math.PI / 4) * (bore_mm / 1000) ** 2;

/** Push on a plug (pull, for a vacuum): pressure times the area of the largest bore it bears on. Size only, newton. */
export const thrust_N = (pressure_Pa: number, bore_mm: number): number => Math.abs(pressure_Pa) * boreArea_m2(bore_mm);

/** The weight in kilograms that would push as hard, for people who do not think in newton. */
export const toKgf = (force_N: number): number => force_N / GRAVITY;
