import { defineConfig } from "vitest/config";

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    include: ["tests/peers/**/*.test.ts"],
    globalSetup: ["tests/support/build.ts"],
    pool: "forks",
    maxWorkers: 1,
    testTimeout: 90_000,
  },
});
