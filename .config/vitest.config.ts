import { defineConfig } from "vitest/config";
import { BaseSequencer, type TestSpecification } from "vitest/node";

/** Those that wait for real time go first: at the end each would keep the other core idle. */
const LONG = ["tests/e2e/lifeSpeed", "tests/e2e/", "tests/session/bluetoothOutage", "tests/links/ble"];

class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const rank = ({ moduleId }: TestSpecification): number => {
      const place = LONG.findIndex((part) => moduleId.includes(part));
      return place < 0 ? LONG.length : place;
    };
    return (await super.sort(files)).sort((a, b) => rank(a) - rank(b));
  }
}

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    include: ["tests/**/*.test.{ts,tsx}"],
    exclude: ["tests/peers/**"],
    globalSetup: ["tests/support/build.ts"],
    pool: "forks",
    maxWorkers: 2,
    sequence: { sequencer: LongFirst },
    testTimeout: 60_000,
  },
});
