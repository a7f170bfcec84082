import { basename, join } from "node:path";
import type { Learned, LineProposal } from "../../drivers/framing/learn.ts";
import type { LinkDefaults } from "../core/driver.ts";
import { plainJson, plainText } from "../core/text.ts";
import { gaugeTomlText } from "../intake/gaugeToml.ts";
import { serialUrl } from "./gaugeDescribed.ts";

/** What was heard on a port at one speed, and what was made of it. */
export interface Lesson {
  path: string;
  line: LinkDefaults;
  learned: Learned;
}

const LONGEST_SHOWN = 100;

export const isRead = (learned: Learned): boolean => learned.kind === "xdr" || (learned.kind === "line" && learned.confidence !== "poor");

interface Description {
  protocol: string;
  options: Record<string, string>;
}

/** Protocol and options the lesson comes to; `null` when it comes to nothing. */
function descriptionOf(learned: Learned): Description | null {
  if (learned.kind === "line") return { protocol: "line", options: learned.options };
  if (learned.kind !== "xdr") return null;
  const [name] = learned.names;
  const named = learned.names.length > 1 && name !== undefined && name !== "" ? { name: plainText(name, 60) } : {};
  return { protocol: "xdr", options: { ...named, ...(learned.checksums ? {} : { missingChecksum: "accept" }) } };
}

/** A gauge's address that `--gauge` takes. */
const urlOf = ({ path, line }: Lesson, description: Description): string => serialUrl(path, { ...description, line });

const asHeard = (lines: readonly string[]): string[] => lines.map((text) => `    ${plainText(text, LONGEST_SHOWN)}`);

function proposalLines(learned: LineProposal): string[] {
  const { unit, lastDigit, smallestStep, rate_Hz, share, confidence, because } = learned;
  const named = unit === null ? "" : ` ${unit}`;
  const step = smallestStep === null ? "the figure did not change" : `smallest step seen ${smallestStep}${named}`;
  return [
    `Proposal (${confidence}): ${Math.round(share * 100)} % of the lines are read as a pressure.`,
    ...because.map((text) => `  - ${text}`),
    `  - Last digit ${lastDigit}${named}, ${step}${rate_Hz === null ? "" : `; ${rate_Hz.toPrecision(2)} lines a second`}.`,
  ];
}

/** Why there is no proposal, and what to try. */
function troubleLines(learned: Learned, triedSpeeds: boolean): string[] {
  const speed = triedSpeeds ? "" : " Another speed may be right: leave --baud out to try the usual ones.";
  if (learned.kind === "silent")
    return [
      "Nothing was heard: the gauge is silent. It may wait to be asked (protocol line with query=…, scpi or modbus; see its manual),",
      `have its output switched off, or its cable lacks a line.${speed}`,
    ];
  if (learned.kind === "binary" && learned.modbus)
    return ["What was heard is Modbus RTU: frames with a CRC that fits. Take the other master off the line and use protocol=modbus."];
  if (learned.kind === "binary")
    return [`${learned.bytes} bytes were heard that are no text: a binary protocol (perhaps modbus), or another speed or parity.${speed}`];
  if (learned.kind === "no-lines")
    return ["Text was heard, but no end of a line; only gauges that end their lines can be read.", ...asHeard(learned.lines)];
  return ["Lines of text were heard, but no field in them is always a figure:", ...asHeard(learned.lines)];
}

/** The lesson for people; the gauge's own text made plain. `folder` is where described gauges are kept. */
export function lessonLines(lesson: Lesson, triedSpeeds: boolean, folder?: string): string[] {
  const { learned, line, path } = lesson;
  const description = descriptionOf(learned);
  if (description === null) return troubleLines(learned, triedSpeeds);
  const file = gaugeTomlText({ name: plainText(basename(path), 60) || "gauge", port: path, ...description, line });
  return [
    `Heard at ${line.baud} baud:`,
    ...asHeard(learned.lines),
    "",
    ...(learned.kind === "line" ? proposalLines(learned) : xdrLines(learned)),
    "",
    "Gauge address:",
    `  ${urlOf(lesson, description)}`,
    "",
    "The same as a file:",
    ...file.trim().split("\n"),
    "",
    ...(folder === undefined
      ? []
      : [`Keep it as ${plainText(join(folder, "NAME.toml"), 200)}, NAME being what you call the gauge; then: staunch test --gauge NAME`]),
    "Hold it against the gauge's own display before the first test.",
  ];
}

function xdrLines(learned: Learned): string[] {
  const names = learned.kind === "xdr" ? learned.names.map((name) => plainText(name, 40) || "(no name)") : [];
  const several = names.length > 1 ? " The first was taken; give name=… for another." : "";
  return [`NMEA 0183 sentences (XDR) with a pressure from ${names.join(", ")}.${several}`];
}

export function lessonJson(lesson: Lesson): string {
  const description = descriptionOf(lesson.learned);
  const url = description === null ? null : urlOf(lesson, description);
  return plainJson({ schema: "staunch/learned/1", port: lesson.path, line: lesson.line, url, ...lesson.learned });
}
