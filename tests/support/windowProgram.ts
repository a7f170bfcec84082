/** A program with the live screen for tests on a real tty: `windowProgram.ts [throw] [minds-signals]`. */
import { runTestScreen } from "../../src/terminal/runTest.tsx";
import { CANNED, CAUTIONS, curveUntil, START } from "../terminal/canned.ts";

const wants = new Set(process.argv.slice(2));
if (wants.has("minds-signals")) {
  process.on("SIGTERM", () => {
    console.log("ended in good order");
    process.exit(3);
  });
}
const now_ms = (): number => Math.round(performance.now());
const screen = await runTestScreen({
  stdin: process.stdin,
  stdout: process.stdout,
  start: START,
  unit: "mbar",
  cautions: CAUTIONS,
  clock: {
    now_ms,
    wall_ms: () => Date.now(),
    at(due_ms, action) {
      const timer = setTimeout(action, Math.max(0, due_ms - now_ms()));
      return () => clearTimeout(timer);
    },
  },
  onKey(action) {
    screen.close();
    console.log(`key ${action}`);
    process.exit(130);
  },
  onError(error) {
    console.log(`screen fell: ${String(error)}`);
    process.exit(70);
  },
});
const view = CANNED["hold"]?.view;
if (view === undefined) throw new Error("no canned hold");
screen.update(view, [], curveUntil(view.at_s));
if (wants.has("throw")) {
  setTimeout(() => {
    throw new Error("a defect of ours");
  }, 300);
}
