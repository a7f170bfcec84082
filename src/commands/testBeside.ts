import type { Command as CommandLine } from "commander";
import { type BesideRole, joinedDriver } from "../core/beside.ts";
import { usageError } from "../core/errors.ts";
import type { Limits } from "../core/methods/limits.ts";
import type { GaugeFacts, RecordStart } from "../core/record.ts";
import { parseGaugeUrl } from "../links/gaugeUrl.ts";
import type { Context } from "./command.ts";
import { driverOf, type ReadyGauge } from "./gauge.ts";
import { askedGauge } from "./gaugeOnFile.ts";
import { testGauge } from "./testGauge.ts";

/** Gauges beside the one on the pipe, each an address or a name on file. */
export interface BesideWords {
  atmosphere?: string;
  pipeTemperature?: string;
  gaugeReason?: string;
}

export const besideOptions = (line: CommandLine): CommandLine =>
  line
    .option("--atmosphere <url or name>", "a second gauge that reads the air pressure outside")
    .option("--pipe-temperature <url or name>", "a gauge that reads the temperature of the air in the pipe");

export interface BesideGauges {
  /** All gauges of the test in one: the first one's, with a driver that joins them. */
  ready: ReadyGauge;
  also: Pick<RecordStart, "also">;
}

/** Joins the gauges of a test. StaunchErrors (64): `beside-unfit` for one that cannot be joined, besides those of `testGauge`. */
export function withBeside(main: ReadyGauge, words: BesideWords, limits: Limits, context: Context): BesideGauges {
  const asked: [BesideRole, string, string | undefined][] = [
    ["atmosphere", "--atmosphere", words.atmosphere],
    ["pipe-temperature", "--pipe-temperature", words.pipeTemperature],
  ];
  const beside = asked.flatMap(([role, option, word]) => {
    if (word === undefined) return [];
    refuse(option, word, main, context);
    const { ready } = testGauge(
      { gauge: word, ...(words.gaugeReason === undefined ? {} : { gaugeReason: words.gaugeReason }) },
      null,
      limits,
      context,
    );
    return [{ role, option, ready }];
  });
  if (beside.length === 0) return { ready: main, also: {} };
  return {
    ready: {
      ...main,
      driver: joinedDriver(
        main.driver,
        beside.map(({ role, ready }) => ({ role, driver: ready.driver })),
      ),
      beside: beside.map(({ ready }) => ready.link),
    },
    also: { also: beside.map(({ role, ready }) => ({ role, gauge: ready.facts })) },
  };
}

/** A line is one gauge's; and what is simulated or typed has nothing to say about the weather. */
function refuse(option: string, word: string, main: ReadyGauge, context: Context): void {
  const unfit = (why: string, hint: string): Error => usageError("beside-unfit", `${option}: ${why}`, hint);
  const { url } = askedGauge(word, context, () => undefined);
  const { scheme } = parseGaugeUrl(url);
  if (main.facts.url.startsWith("keyed:"))
    throw unfit("a tube read by eye is not joined by other gauges.", "Leave the option out, or take a digital gauge for --gauge.");
  if (scheme === "sim")
    throw unfit("the simulated pipe tells its own air and barometer.", "Name a real gauge: serial:///dev/ttyUSB1?protocol=line");
  if (scheme === "keyed") throw unfit("what is typed has no moment to be joined at.", "Name a gauge that sends its readings.");
  if (placeOf(url) === placeOf(main.facts.url))
    throw unfit("that is the line of the gauge on the pipe.", "Give each gauge a line of its own.");
}

const placeOf = (url: string): string => url.split("?")[0] ?? url;

/** The driver a record was made with, gauges beside it joined. */
export const driverOfStart = ({ gauge, also = [] }: { gauge: GaugeFacts } & Pick<RecordStart, "also">): ReturnType<typeof driverOf> =>
  joinedDriver(
    driverOf(gauge),
    also.map(({ role, gauge: facts }) => ({ role, driver: driverOf(facts) })),
  );
