import type { Air } from "./air.ts";
import type { Controller } from "./controller.ts";
import { eventPacket, STATUS, u16 } from "./hci.ts";

export interface LinkParameters {
  /** 1.25 ms. */
  interval: number;
  latency: number;
  /** 10 ms. */
  timeout: number;
}

interface End {
  controller: Controller;
  handle: number;
  /** ACL data handed over by the host, waiting for the next connection event. */
  waiting: { isFirst: boolean; payload: Buffer }[];
}

/** What one side sends in a connection event. */
const PACKETS_AN_EVENT = 4;

/**
 * A connection between two controllers. Empty exchanges are not played: an event happens where one side has something to send, on the grid
 * of the interval; and the supervision time-out runs from the moment the two no longer hear each other.
 */
export class RadioLink {
  parameters: LinkParameters;
  readonly central: End;
  readonly peripheral: End;
  readonly #air: Air;
  readonly #anchor_ms: number;
  #isAlive = true;
  #isForgotten = false;
  #cancelEvent: (() => void) | null = null;
  #cancelSupervision: (() => void) | null = null;

  constructor(air: Air, central: Controller, peripheral: Controller, parameters: LinkParameters) {
    this.#air = air;
    this.#anchor_ms = air.now_ms();
    this.parameters = parameters;
    this.central = { controller: central, handle: central.newHandle(this), waiting: [] };
    this.peripheral = { controller: peripheral, handle: peripheral.newHandle(this), waiting: [] };
    air.links.add(this);
  }

  endOf(controller: Controller): End {
    return controller === this.central.controller ? this.central : this.peripheral;
  }

  otherThan(controller: Controller): End {
    return controller === this.central.controller ? this.peripheral : this.central;
  }

  put(controller: Controller, isFirst: boolean, payload: Buffer): void {
    this.endOf(controller).waiting.push({ isFirst, payload });
    this.#schedule();
  }

  rangeChanged(): void {
    if (!this.#isAlive) return;
    this.#cancelSupervision?.();
    this.#cancelSupervision = null;
    if (this.#air.hear(this.central.controller, this.peripheral.controller)) this.#schedule();
    else this.#cancelSupervision = this.#air.after(this.parameters.timeout * 10, () => this.drop(STATUS.timeout, STATUS.timeout));
  }

  /** One side does not know of it any more; the other finds out when nothing comes. */
  forgotten(): void {
    this.#cancelEvent?.();
    this.#isForgotten = true;
    this.#air.after(this.parameters.timeout * 10, () => this.drop(STATUS.timeout, STATUS.timeout));
  }

  drop(toCentral: number, toPeripheral: number): void {
    if (!this.#isAlive) return;
    this.#isAlive = false;
    this.#cancelEvent?.();
    this.#cancelSupervision?.();
    this.#air.links.delete(this);
    for (const [end, reason] of [[this.central, toCentral] as const, [this.peripheral, toPeripheral] as const])
      end.controller.linkGone(end.handle, end.waiting.length, reason);
  }

  #schedule(): void {
    if (this.#cancelEvent !== null || !this.#isAlive || this.#isForgotten) return;
    if (this.central.waiting.length + this.peripheral.waiting.length === 0) return;
    const interval_ms = this.parameters.interval * 1.25;
    const passed_ms = this.#air.now_ms() - this.#anchor_ms;
    const next_ms = Math.floor(passed_ms / interval_ms + 1) * interval_ms;
    this.#cancelEvent = this.#air.after(next_ms - passed_ms, () => {
      this.#cancelEvent = null;
      this.#exchange();
    });
  }

  #exchange(): void {
    if (!this.#air.hear(this.central.controller, this.peripheral.controller)) return;
    for (const end of [this.central, this.peripheral]) {
      const sent = end.waiting.splice(0, PACKETS_AN_EVENT);
      const other = this.otherThan(end.controller);
      for (const { isFirst, payload } of sent) other.controller.receive(other.handle, isFirst, payload);
      if (sent.length === 0) continue;
      end.controller.inFlight -= sent.length;
      // Number Of Completed Packets: the host may fill as many buffers again.
      end.controller.toHost(eventPacket(0x13, [1, ...u16(end.handle), ...u16(sent.length)]));
    }
    this.#schedule();
  }
}
