import { spawn } from "node:child_process";
import type { Turn } from "../core/judging/view.ts";

/** Says what the crew is asked, through the machine's own speech program where it has one; silent otherwise. */
export class Voice {
  #wanted: boolean;
  readonly #complain: (text: string) => void;
  #talking: { kill(): boolean } | null = null;

  constructor(wanted: boolean, complain: (text: string) => void) {
    this.#wanted = wanted;
    this.#complain = complain;
  }

  turns(turns: readonly Turn[]): void {
    const last = turns.findLast((turn) => turn.bell !== null);
    if (!this.#wanted || last === undefined) return;
    this.#talking?.kill();
    const talk = spawn("espeak-ng", ["--", last.text], { stdio: "ignore" });
    talk.on("error", () => {
      if (this.#wanted) this.#complain("staunch: no speech here: --say needs the program espeak-ng.");
      this.#wanted = false;
    });
    this.#talking = talk;
  }

  stop(): void {
    this.#talking = null;
  }
}
