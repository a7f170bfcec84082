/** Ours: no number of the standard is negative. */
export const ADAPTER_OFF = -1;
export const ENDED_HERE = 22;

/** Bluetooth Core 5.4, Vol 1 Part F §1.3. */
const REASONS: Readonly<Record<number, string>> = {
  [ADAPTER_OFF]: "the adapter is off",
  8: "the gauge was not heard for 4 s (out of range, or switched off)",
  19: "the gauge ended the connection",
  21: "the gauge is switching itself off",
  [ENDED_HERE]: "ended from this side",
  62: "the connection could not be made to hold",
};

/** Why a link ended, for people. */
export const lossReason = (reason: number): string =>
  `The Bluetooth link was lost: ${REASONS[reason] ?? `reason 0x${reason.toString(16).padStart(2, "0")}`}.`;
