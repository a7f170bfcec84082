import { defineConfig } from "vitest/config";

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    include: ["tests/**/*.test.{ts,tsx}"],
    exclude: ["tests/peers/**"],
    globalSetup: ["tests/support/build.ts"],
    pool: "forks",
    maxWorkers: 2,
    testTimeout: 60_000,
  },
});
