import type { Command as CommandLine } from "commander";
import { usageError } from "../core/errors.ts";
import type { AsTested, RecordStart } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { each } from "./words.ts";

/** What a crew may tell of the section as it stands, as commander hands it over. */
export interface AsTestedWords {
  plugs?: string | undefined;
  cap?: string[] | undefined;
  weather?: string | undefined;
  witness?: string | undefined;
}

const LONGEST = 200;
const MOST_CAPS = 100;

/** Adds those options to a command. */
export const asTestedOptions = (line: CommandLine): CommandLine =>
  line
    .option("--plugs <text>", 'how both ends are plugged, kept on the record: "inflatable, braced, at MH 3 and MH 4"')
    .option("--cap <text>", 'an open end or branch closed off: "branch at 12 m, DN 100: screw cap"; may be given again', each)
    .option("--weather <text>", 'kept on the record: "overcast, light wind, 9 °C"')
    .option("--witness <name>", "who looks on");

/** What was told, sealed with the record; `{}` when nothing was. StaunchErrors (64): `words-empty`, `caps-many`. */
export function asTestedFrom({ plugs, cap, weather, witness }: AsTestedWords): Pick<RecordStart, "asTested"> {
  if ((cap ?? []).length > MOST_CAPS)
    throw usageError("caps-many", `More than ${MOST_CAPS} caps were told.`, "Say several of them in one --cap.");
  const asTested: AsTested = {
    ...(plugs === undefined ? {} : { plugs: words("--plugs", plugs) }),
    ...(cap === undefined ? {} : { caps: cap.map((text) => words("--cap", text)) }),
    ...(weather === undefined ? {} : { weather: words("--weather", weather) }),
    ...(witness === undefined ? {} : { witness: words("--witness", witness) }),
  };
  return Object.keys(asTested).length === 0 ? {} : { asTested };
}

function words(option: string, text: string): string {
  const told = plainText(text, LONGEST);
  if (told !== "") return told;
  throw usageError("words-empty", `${option} says nothing.`, "Leave it out, or tell it in a few words.");
}
