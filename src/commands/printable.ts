/** C0 and C1 controls but the line end, and the marks that turn the direction of writing: none of them may reach a terminal. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: finding control characters is the point
const CONTROLS = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069]/g;

/** Untrusted text made safe to show: every control character becomes "�". Line ends stay. */
export const printable = (text: string): string => text.replace(CONTROLS, "\uFFFD");
