import { counted } from "../core/text.ts";

/** What is sealed beside records, counted. */
export const countedSaid = (n: number): string => counted(n, "review or second signature", "reviews and second signatures");
