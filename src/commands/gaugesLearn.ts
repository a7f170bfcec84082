import { type Learned, learn } from "../../drivers/framing/learn.ts";
import type { LinkDefaults } from "../core/driver.ts";
import { EXIT, type ExitCode, usageError } from "../core/errors.ts";
import type { Clock, Link } from "../core/link.ts";
import { plainText } from "../core/text.ts";
import { parseGaugeUrl } from "../links/gaugeUrl.ts";
import { serialLink } from "../links/serial.ts";
import { isRead, type Lesson, lessonJson, lessonLines } from "./gaugesLearnPage.ts";
import type { Io } from "./io.ts";
import { listenOn } from "./listenOn.ts";

export interface LearnWishes {
  /** A port's path, `COM3`, or a `serial://` address. */
  port: string;
  /** `null`: the usual speeds one after the other until text appears. */
  baud: number | null;
  /** How long to listen once there is text. */
  seconds: number;
  json: boolean;
  io: Io;
  /** Where described gauges are kept, to be told beside the file. */
  folder?: string;
  /** Tests hand in a link of their own. */
  makeLink?: (options: { path: string; clock: Clock; silence_ms: number } & LinkDefaults) => Link;
}

/** What gauges are shipped with, the commonest first: common practice, no source. */
const SPEEDS = [9600, 4800, 19_200, 38_400, 57_600, 115_200] as const;
/** A gauge that prints every other second is still heard. */
const TRY_ms = 2500;
/** The link's own watchdog would reopen the port in the middle. */
const NO_WATCH_ms = 3_600_000;

/** The more can be read, the higher. */
const RANK: readonly Learned["kind"][] = ["silent", "binary", "no-lines", "no-figures", "line", "xdr"];
const rank = ({ learned }: Lesson): number => RANK.indexOf(learned.kind) + (learned.kind === "line" ? learned.share - 1 : 0);

interface Port {
  path: string;
  line: LinkDefaults;
}

function portOf(port: string): Port {
  const isUrl = /^[a-z]+:\/\//i.test(port);
  const url = isUrl ? port : `serial://${port.startsWith("/") ? "" : "/"}${encodeURIComponent(port).replaceAll("%2F", "/")}`;
  const address = parseGaugeUrl(/[?&](protocol|profile)=/.test(url) ? url : `${url}${url.includes("?") ? "&" : "?"}protocol=line`);
  if (address.scheme === "serial") return { path: address.path, line: address.line };
  throw usageError(
    "learn-port",
    `${JSON.stringify(plainText(port, 100))} is no serial port.`,
    "Only a gauge on a serial port can be learned: staunch gauges learn /dev/ttyUSB0",
  );
}

/** Listens at each speed in turn until the gauge can be read; the best that was heard, or `null` when interrupted. */
async function bestLesson({ path, line }: Port, speeds: readonly number[], wishes: LearnWishes): Promise<Lesson | null> {
  const { io, seconds, makeLink = serialLink } = wishes;
  const whole_ms = Math.round(seconds * 1000);
  let best: Lesson | null = null;
  for (const baud of speeds) {
    io.err(`Listening on ${plainText(path, 200)} at ${baud} baud …`);
    const chunks = await listenOn(makeLink({ ...line, path, baud, clock: io.clock, silence_ms: NO_WATCH_ms }), {
      first_ms: speeds.length > 1 ? TRY_ms : whole_ms,
      whole_ms,
      goesOn: (heard) => !["silent", "binary"].includes(learn(heard).kind),
      onStop: (stop) => io.onInterrupt(stop),
    });
    if (chunks === null) return null;
    const lesson: Lesson = { path, line: { ...line, baud }, learned: learn(chunks) };
    if (best === null || rank(lesson) > rank(best)) best = lesson;
    if (isRead(lesson.learned)) break;
  }
  return best;
}

/**
 * Listens to a gauge nobody described and prints how it can be read: its lines, the proposal and why, a gauge address, a TOML file.
 * Sends nothing. Exit 0 with a proposal, 69 when the gauge is silent or not understood (the port's own StaunchErrors pass through), 130 when
 * interrupted.
 */
export async function learnGauge(wishes: LearnWishes): Promise<ExitCode> {
  const { baud, seconds, io, json } = wishes;
  if (!(seconds >= 1 && seconds <= 600))
    throw usageError("learn-seconds", `A gauge cannot be listened to for ${seconds} s.`, "Give 1 to 600 seconds; 10 are usual.");
  const port = portOf(wishes.port);
  const told = baud ?? port.line.baud;
  const lesson = await bestLesson(port, told === undefined ? SPEEDS : [told], wishes);
  if (lesson === null) return EXIT.interrupted;
  const understood = lesson.learned.kind === "line" || lesson.learned.kind === "xdr";
  if (json) io.out(lessonJson(lesson));
  else for (const text of lessonLines(lesson, told === undefined, wishes.folder)) (understood ? io.out : io.err)(text);
  return understood ? EXIT.pass : EXIT.gauge;
}
