/** ASTM F1417, Table 2 (0.5 psi), every printed figure; read in a stored copy of the standard. Inches, feet, seconds. */
export interface PrintedRow {
  d_in: number;
  /** Least time, up to what length it holds, and seconds for each foot of a longer section. */
  least_s: number;
  upTo_ft: number;
  perFoot_s: number;
  /** At LENGTHS_ft. */
  times_s: readonly number[];
}

export const LENGTHS_ft: readonly number[] = [100, 150, 200, 250, 300, 350, 400, 450];

export const TABLE_2: readonly PrintedRow[] = [
  { d_in: 4, least_s: 113, upTo_ft: 597, perFoot_s: 0.19, times_s: [113, 113, 113, 113, 113, 113, 113, 113] },
  { d_in: 6, least_s: 170, upTo_ft: 398, perFoot_s: 0.427, times_s: [170, 170, 170, 170, 170, 170, 171, 192] },
  { d_in: 8, least_s: 227, upTo_ft: 298, perFoot_s: 0.76, times_s: [227, 227, 227, 227, 228, 266, 304, 342] },
  { d_in: 10, least_s: 283, upTo_ft: 239, perFoot_s: 1.187, times_s: [283, 283, 283, 297, 356, 415, 474, 534] },
  { d_in: 12, least_s: 340, upTo_ft: 199, perFoot_s: 1.709, times_s: [340, 340, 342, 428, 513, 598, 684, 770] },
  { d_in: 15, least_s: 425, upTo_ft: 159, perFoot_s: 2.671, times_s: [425, 425, 534, 668, 801, 935, 1068, 1202] },
  { d_in: 18, least_s: 510, upTo_ft: 133, perFoot_s: 3.846, times_s: [510, 577, 769, 961, 1154, 1346, 1538, 1731] },
  { d_in: 21, least_s: 595, upTo_ft: 114, perFoot_s: 5.235, times_s: [595, 785, 1047, 1309, 1571, 1832, 2094, 2356] },
  { d_in: 24, least_s: 680, upTo_ft: 99, perFoot_s: 6.837, times_s: [684, 1077, 1368, 1710, 2051, 2393, 2735, 3077] },
  { d_in: 27, least_s: 765, upTo_ft: 88, perFoot_s: 8.653, times_s: [865, 1298, 1731, 2164, 2596, 3030, 3462, 3894] },
  { d_in: 30, least_s: 850, upTo_ft: 80, perFoot_s: 10.683, times_s: [1068, 1603, 2137, 2671, 3205, 3739, 4273, 4807] },
  { d_in: 33, least_s: 935, upTo_ft: 72, perFoot_s: 12.926, times_s: [1293, 1939, 2636, 3232, 3878, 4524, 5170, 5817] },
  { d_in: 36, least_s: 1020, upTo_ft: 66, perFoot_s: 15.384, times_s: [1539, 2308, 3077, 3846, 4615, 5384, 6154, 6923] },
  { d_in: 42, least_s: 1194, upTo_ft: 57, perFoot_s: 20.942, times_s: [2094, 3141, 4189, 5235, 6282, 7330, 8377, 9424] },
  { d_in: 48, least_s: 1367, upTo_ft: 50, perFoot_s: 27.352, times_s: [2735, 4103, 5471, 6838, 8206, 9573, 10941, 12309] },
  { d_in: 54, least_s: 1531, upTo_ft: 44, perFoot_s: 34.618, times_s: [3462, 5193, 6924, 8655, 10385, 12116, 13847, 15578] },
  { d_in: 60, least_s: 1700, upTo_ft: 40, perFoot_s: 42.738, times_s: [4274, 6411, 8548, 10685, 12821, 14958, 17095, 19232] },
];

/** Printed cells that break the table's own rule (seconds per foot times length): taken as misprints, the rule stands. */
export const MISPRINTS: readonly { d_in: number; length_ft: number; printed_s: number }[] = [
  { d_in: 24, length_ft: 150, printed_s: 1077 },
  { d_in: 33, length_ft: 200, printed_s: 2636 },
];
