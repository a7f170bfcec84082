/**
 * A serial line as a link. A port does not always notice that its line is dead, so silence is watched as well.
 *
 *     open ──► up ── silence, hang-up, failed write ──► down ── pause ──► open a fresh port ──► up …
 *      └ first open refused: the link fails                      └─────── refused: longer pause ┘
 */
import type { LinkDefaults } from "../core/driver.ts";
import type { JournalBody } from "../core/journal.ts";
import type { Clock, Link, LinkSink, OpenLink } from "../core/link.ts";
import { plainText } from "../core/text.ts";
import { isPseudoTerminal, nodeAt, portTrouble } from "./portTrouble.ts";
import { type ControlLines, describePort, type MakePort, makeSerialPort, type OpenPort, type PortSettings } from "./serialPort.ts";
import { usbIdentity } from "./serialPorts.ts";
import { within } from "./within.ts";

export interface SerialOptions extends LinkDefaults, ControlLines {
  path: string;
  clock: Clock;
  /** Longest wait for a byte before the line is reopened, ms. */
  silence_ms?: number | undefined;
  makePort?: MakePort;
  /** The USB adapter at a path, as the record keeps it. */
  identify?: (path: string) => string | null;
  /** What stands at a path now; `null`: that cannot be told. */
  look?: (path: string) => string | null;
}

const SILENCE_ms = 3000;
/** A gauge that stays mute is given longer each time, so that one slow to start after opening is still heard. */
const LONGEST_SILENCE_FACTOR = 4;
const FIRST_PAUSE_ms = 250;
/** A gauge that is back is read again within 2 s, the second for opening it included. */
const LONGEST_PAUSE_ms = 1000;
/** A line silent for so long is looked after: its node may be gone, or be another's. Ports were seen not to notice that themselves. */
const LOOK_ms = 500;
/** Closing waits for bytes the other side does not take; nobody at the trench waits for that. */
const CLOSE_BOUND_ms = 2000;

/** A link over a serial port; 9600 baud, 8N1, no flow control unless said otherwise. Opens nothing until `open`. */
export function serialLink(options: SerialOptions): Link {
  const { path, clock, silence_ms = SILENCE_ms, makePort = makeSerialPort, identify = usbIdentity, look = nodeAt } = options;
  const { dtr, rts, hupcl } = options;
  const settings: PortSettings = {
    path,
    baud: options.baud ?? 9600,
    dataBits: options.dataBits ?? 8,
    parity: options.parity ?? "none",
    stopBits: options.stopBits ?? 1,
    flow: options.flow ?? "none",
    ...(dtr === undefined ? {} : { dtr }),
    ...(rts === undefined ? {} : { rts }),
    ...(hupcl === undefined ? {} : { hupcl }),
  };
  return {
    clock,
    source: isPseudoTerminal(path) ? "pseudo-terminal" : "gauge",
    describe: describePort(settings),
    open: (sink) => new SerialLine(settings, { clock, silence_ms, makePort, identify, look }, sink).begin(),
  };
}

type Means = Required<Pick<SerialOptions, "clock" | "makePort" | "identify" | "look">> & { silence_ms: number };

class SerialLine implements OpenLink {
  readonly #settings: PortSettings;
  readonly #clock: Clock;
  readonly #means: Means;
  readonly #sink: LinkSink;
  #port: OpenPort | null = null;
  /** What stood at the path when the port was opened. */
  #node: string | null = null;
  /** Raised whenever a port is given up: what an old port still has to say is not heard. */
  #turn = 0;
  #everOpen = false;
  #closing: Promise<void> | null = null;
  #opening: Promise<void> = Promise.resolve();
  #cancelTimer: () => void = () => {};
  #heard_ms = 0;
  #patience_ms: number;
  #pause_ms = FIRST_PAUSE_ms;

  constructor(settings: PortSettings, means: Means, sink: LinkSink) {
    this.#settings = settings;
    this.#means = means;
    this.#clock = means.clock;
    this.#patience_ms = means.silence_ms;
    this.#sink = sink;
  }

  begin(): OpenLink {
    this.#attempt();
    return this;
  }

  send(bytes: Uint8Array): void {
    // While the line is down nothing is kept: the driver asks anew when it is up again.
    const port = this.#port;
    if (port === null) return;
    const turn = this.#turn;
    port.write(bytes).then(
      () => this.#ifCurrent(turn, () => this.#emit({ kind: "bytes-sent", bytes })),
      (error: unknown) => this.#ifCurrent(turn, () => this.#lose(`Writing to the gauge failed: ${wordsOf(error)}.`)),
    );
  }

  close(): Promise<void> {
    this.#closing ??= this.#end();
    return this.#closing;
  }

  async #end(): Promise<void> {
    this.#cancelTimer();
    const port = this.#giveUpPort();
    await within(this.#clock, CLOSE_BOUND_ms, Promise.all([this.#opening, port?.close()]));
  }

  #attempt(): void {
    const turn = ++this.#turn;
    const made = this.#means.makePort(this.#settings, {
      data: (bytes) => this.#ifCurrent(turn, () => this.#arrived(bytes)),
      gone: (reason) => this.#ifCurrent(turn, () => this.#lose(`The port lost its line: ${reason}.`)),
    });
    this.#opening = made.then(
      (port) => (turn === this.#turn ? this.#opened(port) : port.close()),
      (error: unknown) => this.#ifCurrent(turn, () => this.#refused(error)),
    );
  }

  #opened(port: OpenPort): void {
    this.#port = port;
    this.#everOpen = true;
    this.#pause_ms = FIRST_PAUSE_ms;
    this.#heard_ms = this.#clock.now_ms();
    this.#node = this.#means.look(this.#settings.path);
    this.#emit({ kind: "link-up", detail: this.#detail() });
    this.#watch();
  }

  /** Asked at each opening: another adapter may have been plugged in meanwhile, and the journal is to show it. */
  #detail(): string {
    const usb = this.#means.identify(this.#settings.path);
    return `${describePort(this.#settings)}${usb === null ? "" : `, USB ${plainText(usb, 80)}`}`;
  }

  #refused(error: unknown): void {
    if (this.#everOpen) this.#later(() => this.#attempt());
    else {
      this.#turn++;
      this.#sink.fail(portTrouble(this.#settings.path, error));
    }
  }

  #arrived(bytes: Uint8Array): void {
    this.#heard_ms = this.#clock.now_ms();
    this.#patience_ms = this.#means.silence_ms;
    this.#emit({ kind: "bytes-in", bytes });
  }

  /** One timer a while, not one a byte: when it comes due it looks how long the silence really is. */
  #watch(): void {
    const now_ms = this.#clock.now_ms();
    this.#cancelTimer = this.#clock.at(Math.min(this.#heard_ms + this.#patience_ms, now_ms + LOOK_ms), () => {
      const silent_ms = this.#clock.now_ms() - this.#heard_ms;
      if (silent_ms >= this.#patience_ms) {
        this.#patience_ms = Math.min(this.#patience_ms * 2, this.#means.silence_ms * LONGEST_SILENCE_FACTOR);
        this.#lose(`Nothing has come from the gauge for ${(silent_ms / 1000).toFixed(1)} s.`);
      } else if (silent_ms >= LOOK_ms && this.#hasLeft()) this.#lose("The port is no longer there.");
      else this.#watch();
    });
  }

  #hasLeft(): boolean {
    return this.#node !== this.#means.look(this.#settings.path);
  }

  #lose(reason: string): void {
    // A port that ends before it is up is still to be told open or refused.
    const port = this.#port;
    if (port === null) return;
    this.#cancelTimer();
    this.#giveUpPort();
    this.#emit({ kind: "link-down", reason });
    const turn = this.#turn;
    // The old port keeps its lock on the device until it is closed; a device that has gone took the lock with it.
    const bound_ms = this.#hasLeft() ? 0 : CLOSE_BOUND_ms;
    within(this.#clock, bound_ms, port.close()).then(() => this.#ifCurrent(turn, () => this.#later(() => this.#attempt())));
  }

  #giveUpPort(): OpenPort | null {
    const port = this.#port;
    this.#port = null;
    this.#turn++;
    return port;
  }

  #later(action: () => void): void {
    this.#cancelTimer = this.#clock.at(this.#clock.now_ms() + this.#pause_ms, action);
    this.#pause_ms = Math.min(this.#pause_ms * 2, LONGEST_PAUSE_ms);
  }

  #ifCurrent(turn: number, action: () => void): void {
    if (turn === this.#turn && this.#closing === null) action();
  }

  #emit(body: JournalBody): void {
    this.#sink.event({ ...body, at_ms: this.#clock.now_ms(), wall_ms: this.#clock.wall_ms() });
  }
}

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));
