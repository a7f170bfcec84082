import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { breachesOf, layerOf } from "./support/layers.ts";

const ROOT = fileURLToPath(new URL("..", import.meta.url));

const sourceFiles = ["src", "drivers"].flatMap((folder) =>
  readdirSync(`${ROOT}/${folder}`, { recursive: true, encoding: "utf8" })
    .filter((name) => /\.tsx?$/.test(name))
    .map((name) => `${folder}/${name.replaceAll("\\", "/")}`),
);

const shown = (file: string, text: string): string[] => breachesOf(file, text).map(({ target }) => `${file} → ${target}`);

describe("the import table", () => {
  it("has a layer for every source file", () => {
    expect(sourceFiles.length).toBeGreaterThan(20);
    expect(sourceFiles.filter((file) => layerOf(file) === undefined)).toEqual([]);
  });

  it("is kept by every source file", () => {
    expect(sourceFiles.flatMap((file) => shown(file, readFileSync(`${ROOT}/${file}`, "utf8")))).toEqual([]);
  });
});

describe("the checker itself", () => {
  it.each([
    ["src/core/made-up.ts", 'import { readFileSync } from "node:fs";', "node:fs"],
    ["src/core/made-up.ts", 'import { map } from "rxjs";', "rxjs"],
    ["src/core/judging/made-up.ts", 'export { x } from "../../links/serial.ts";', "../../links/serial.ts"],
    ["src/core/made-up.ts", 'type T = import("../storage/open.ts").T;', "../storage/open.ts"],
    ["src/core/made-up.ts", 'const x = await import("zod");', "zod"],
    ["drivers/made-up.ts", 'import type { Limits } from "../src/core/methods/limits.ts";', "../src/core/methods/limits.ts"],
    ["drivers/simulated/made-up.ts", 'import { slope_Pa_per_K } from "../../src/core/physics/air.ts";', "../../src/core/physics/air.ts"],
    ["src/intake/made-up.ts", 'import { readFile } from "node:fs/promises";', "node:fs/promises"],
    ["src/links/made-up.ts", 'import { scpi } from "../../drivers/scpi.ts";', "../../drivers/scpi.ts"],
    ["src/session/made-up.ts", 'import { openArchive } from "../storage/open.ts";', "../storage/open.ts"],
    ["src/storage/made-up.ts", 'import { render } from "../terminal/x.tsx";', "../terminal/x.tsx"],
    ["src/terminal/made-up.tsx", 'import { createHash } from "node:crypto";', "node:crypto"],
    ["src/commands/made-up.ts", 'import { z } from "zod";', "zod"],
    ["src/core/made-up.ts", "const t = Date.now();", "Date.now"],
    ["src/core/made-up.ts", "const t = new Date();", "new Date()"],
    ["src/core/made-up.ts", "const t = performance.now();", "performance.now"],
    ["drivers/made-up.ts", "const r = Math.random();", "Math.random"],
    ["drivers/made-up.ts", "setTimeout(() => {}, 5);", "setTimeout"],
    ["src/core/made-up.ts", "const e = process.env;", "process"],
    ["src/core/made-up.ts", "const { env } = process;", "process"],
  ])("sees what %s must not do: %s", (file, text, target) => {
    expect(shown(file, text)).toEqual([`${file} → ${target}`]);
  });

  it.each([
    ["src/core/judging/made-up.ts", 'import { at } from "../curve.ts";'],
    ["src/core/made-up.ts", "const t = new Date(wall_ms); const p = { process: 1 }; p.process;"],
    ["drivers/made-up.ts", 'import type { Driver } from "../src/core/driver.ts"; import { frame } from "./framing/lines.ts";'],
    ["src/links/made-up.ts", 'import { SerialPort } from "serialport"; import { pipe } from "../../drivers/simulated/pipe.ts";'],
    ["src/storage/made-up.ts", 'import { open } from "node:fs/promises"; import { chain } from "../evidence/chain.ts";'],
    ["src/commands/made-up.ts", 'const x = await import("../terminal/plain.ts");'],
    ["src/intake/made-up.ts", 'import { parse } from "csv-parse/sync";'],
  ])("lets %s do: %s", (file, text) => {
    expect(shown(file, text)).toEqual([]);
  });

  it("does not take a package for its namesake", () => {
    expect(shown("src/terminal/made-up.ts", 'import "react-dom";')).toEqual(["src/terminal/made-up.ts → react-dom"]);
    expect(shown("src/made-up/x.ts", 'import "../core/units.ts";')).toEqual(["src/made-up/x.ts → ../core/units.ts"]);
  });
});
