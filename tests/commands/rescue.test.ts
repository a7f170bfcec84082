import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { explain, runWords } from "../../src/commands/frame.ts";
import { COMMANDS } from "../../src/commands/index.ts";
import { temporaryFolder } from "../support/archives.ts";
import { EVENTS_OPEN, noise, pagesOfRecords, putDown, SEALED, UNFINISHED, UNSEALED, type Victim, victim } from "../support/damaged.ts";
import { testIo } from "../support/io.ts";

const SIZE = 4096;
let whole: Victim;
let privateKey: Buffer;
beforeAll(async () => {
  whole = await victim(true);
  privateKey = readFileSync(whole.key.path);
});

interface Ran {
  exit: number;
  out: string[];
  err: string;
}

/** A command line to its end, with the key of the machine that sealed, or none. */
async function run(words: string[], archive = "nowhere.staunch", hasKey = true): Promise<Ran> {
  const key = join(temporaryFolder(), "key", "private.pem");
  mkdirSync(dirname(key));
  if (hasKey) writeFileSync(key, privateKey, { mode: 0o600 });
  const io = testIo({ env: { STAUNCH_ARCHIVE: archive, STAUNCH_KEY: key } });
  const program = { version: "0.0.0", commands: COMMANDS, defaultArchive: async () => join(dirname(key), "archive") };
  try {
    const exit = await runWords(words, io, program);
    return { exit, out: io.outText, err: io.errText.join("\n") };
  } catch (error) {
    const { text, exit } = explain(error, io.env);
    return { exit, out: io.outText, err: text };
  }
}

const into = (): string => join(temporaryFolder(), "new.staunch");
const onPage = (page: number): string => putDown(whole, (main) => void noise(SIZE, page).copy(main, (page - 1) * SIZE));

describe("records rescue", () => {
  it("says record by record what came over, and 0 when nothing is known to be missing", async () => {
    const [file, output] = [putDown(whole, () => undefined), into()];
    const { exit, out } = await run(["records", "rescue", file, "-o", output]);
    expect(exit).toBe(0);
    expect(out).toEqual([
      `${file}: ${whole.main.length / SIZE} pages of 4096 bytes, all of which make sense.`,
      ...SEALED.map((id) => `  ${id}  whole: its seal fits, to the last byte.`),
      `  ${UNSEALED}  unsealed: 10 events; without a seal nothing shows whether it was altered.`,
      `  ${UNFINISHED}  unfinished: ${EVENTS_OPEN} events, as far as they can be read; the next test in the new archive ends it.`,
      'gauge "East": 1 sheet, 1 zero, 1 kit check',
      `key ${whole.key.fingerprint} sealed 8 of what came over`,
      `${output}: 5 sealed records whole, 3 reviews and second signatures, 1 unsealed, 1 unfinished.`,
      "Nothing is known to be missing. A tail that is gone without a trace cannot be seen: compare with the last day-end code.",
    ]);
    const verified = await run(["verify", output]);
    expect([verified.exit, verified.out.at(-1)]).toEqual([2, "8 intact, 2 unsealed."]);
  });

  it("takes a record whose seal is lost out of the blocks it was sealed in, and says so wherever it is shown", async () => {
    const page = Math.min(...(pagesOfRecords(whole).get(SEALED[1] ?? "") ?? []));
    const output = into();
    const { exit, out } = await run(["records", "rescue", onPage(page), "-o", output]);
    expect(exit).toBe(1);
    const why = "its seal is lost; its journal is whole, but nothing shows whether it was altered";
    expect(out).toContain(`  ${SEALED[1]}  unsealed: ${why}.`);
    expect(out).toContain("! Number 2 of the damaged archive's chain is not here: lost, or taken out before.");
    expect(out.at(-2)).toMatch(/: 4 sealed records whole, 3 reviews and second signatures, 2 unsealed, 1 unfinished\.$/);
    expect((await run(["records", "show", SEALED[1] ?? ""], output)).out.join("\n")).toContain(`\nout of a damaged archive: ${why}\n`);
    expect((await run(["verify", output])).out.join("\n")).toContain(`${SEALED[1]}  unsealed\n  out of a damaged archive: ${why}`);
  });

  it("names what was lost, with what its list still says of it", async () => {
    const pages = [...(pagesOfRecords(whole).get(SEALED[1] ?? "") ?? [])];
    const file = putDown(whole, (main) => {
      for (const page of pages) noise(SIZE, page).copy(main, (page - 1) * SIZE);
      return undefined;
    });
    const { exit, out } = await run(["records", "rescue", file, "-o", into()]);
    expect(exit).toBe(1);
    expect(out.find((line) => line.includes(SEALED[1] ?? ""))).toMatch(
      / {2}LOST: it was sealed, and the seal is lost\. Its list says: (PASS )?Elderbrook S3-S4, laid, 2026-03-01\.$/,
    );
  });

  it("takes a public key that is told where the archive's own is lost", async () => {
    const page = whole.main.indexOf(Buffer.from(whole.key.publicDer), 8 * SIZE);
    const file = onPage(Math.floor(page / SIZE) + 1);
    const without = await run(["records", "rescue", file, "-o", into()], "nowhere.staunch", false);
    expect(without.out).toContain(`  ${SEALED[0]}  ALTERED, kept out: the key it was signed with is lost: ${whole.key.fingerprint}.`);
    expect((await run(["records", "rescue", file, "-o", into()])).out.at(-2)).toContain("5 sealed records whole");
  });

  it("is one object with --json", async () => {
    const { exit, out } = await run(["records", "rescue", onPage(2), "-o", into(), "--json"]);
    const [object, ...rest] = out.map((text): unknown => JSON.parse(text));
    expect([exit, rest]).toEqual([1, []]);
    expect(object).toMatchObject({
      schema: "staunch/rescued/1",
      whole: false,
      from: whole.id,
      version: 5,
      pages: { unreadable: 1, missing: 0 },
    });
  });

  it("refuses what is no archive, what is not there, and a new file that is there", async () => {
    const file = putDown(whole, () => undefined);
    const letter = putDown(whole, (_main, log) => ({ main: Buffer.from("a letter".repeat(2000)), log }));
    expect(await run(["records", "rescue", letter, "-o", into()])).toMatchObject({ exit: 65, out: [] });
    expect(await run(["records", "rescue", `${file}x`, "-o", into()])).toMatchObject({ exit: 65, out: [] });
    expect(await run(["records", "rescue", file])).toMatchObject({ exit: 64, out: [] });
    expect(await run(["records", "rescue", file, "-o", letter])).toMatchObject({ exit: 64, out: [] });
    expect((await run(["records", "rescue", "--help"])).out.join("\n")).toContain(
      "staunch records rescue damaged.staunch -o rescued.staunch",
    );
  });
});

describe("every other command on a damaged archive", () => {
  const linesOn = (file: string): string[][] => [
    ["records", "list"],
    ["records", "show", SEALED[4] ?? ""],
    ["records", "show", UNSEALED],
    ["verify", file],
    ["verify", file, "--deep"],
    ["replay", SEALED[2] ?? "", "--plain"],
    ["review", "list"],
    ["review", "summary"],
    ["gauges", "list"],
    ["handover", "all", "-o", into()],
  ];

  async function looked(file: string, isSurelyFound: boolean): Promise<void> {
    const before = readFileSync(file);
    for (const words of linesOn(file)) {
      const { exit, err } = await run(words, file);
      expect({ words, exit, err }).toEqual({ words, exit: expect.toSatisfy((n: number) => [0, 1, 2, 65].includes(n)), err });
      if (exit === 65) expect(err).toContain("staunch records rescue FILE -o NEW");
      if (isSurelyFound) expect({ words, exit }).toEqual({ words, exit: 65 });
      expect(readFileSync(file).equals(before)).toBe(true);
    }
  }

  it("cut off: says what is wrong and how to rescue it", async () => {
    for (const at of [1, 99, 100, SIZE, SIZE + 1, 5 * SIZE + 700, whole.main.length - 1])
      await looked(
        putDown(whole, (main, log) => ({ main: main.subarray(0, at), log })),
        true,
      );
  });

  it.each([0, 1, 2, 3])("with a page spoilt: says so when it meets it, and is never at a loss (quarter %i)", async (quarter) => {
    for (let page = 1 + quarter; page <= whole.main.length / SIZE; page += 4) await looked(onPage(page), page === 1);
  });

  it("a page with a sealed journal spoilt, which SQLite takes for good, is found by verify", async () => {
    const body = [...(pagesOfRecords(whole).get(SEALED[4] ?? "") ?? [])].sort((a, b) => a - b).at(-3) ?? 0;
    const file = putDown(whole, (main) => void noise(200, 1).copy(main, body * SIZE - 3000));
    const { exit, out } = await run(["verify", file]);
    expect(exit).toBe(1);
    expect(out.join("\n")).toContain(`${SEALED[4]}  ALTERED`);
  });
});
