import { spawnSync } from "node:child_process";
import { createPublicKey, verify } from "node:crypto";
import { chmodSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { signSeal } from "../../src/evidence/seal.ts";
import { findKey, openKey } from "../../src/storage/key.ts";
import { temporaryFolder, withoutPrivilege } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";

const place = (): string => join(temporaryFolder(), "data", "key", "private.pem");
const modeOf = (path: string): string => (statSync(path).mode & 0o777).toString(8);

describe("the machine's key", () => {
  it("is made once, for its owner's eyes only", () => {
    const path = place();
    const key = openKey(path);
    expect([modeOf(path), modeOf(dirname(path)), key.isOpen]).toEqual(["600", "700", false]);
    expect(openKey(path).fingerprint).toBe(key.fingerprint);
    expect(findKey(path)?.fingerprint).toBe(key.fingerprint);
  });

  it("signs what its public part confirms", () => {
    const key = openKey(place());
    const seal = new Uint8Array(32).fill(9);
    const publicKey = createPublicKey({ key: Buffer.from(key.publicDer), format: "der", type: "spki" });
    expect(verify(null, seal, publicKey, signSeal(seal, key.privateKey))).toBe(true);
  });

  it("takes the number of an attempt back that kept nothing, but not when another was counted since", () => {
    const key = openKey(place());
    key.giveBack(key.beginAttempt());
    expect([key.attempts(), key.beginAttempt(), key.beginAttempt()]).toEqual([0, 1, 2]);
    key.giveBack(1);
    expect(key.attempts()).toBe(2);
  });

  it("is not made by looking for it", () => {
    const path = place();
    expect(findKey(path)).toBeNull();
    expect(() => statSync(dirname(path))).toThrow();
  });

  it("that others can read is used, and said to be open", () => {
    const path = place();
    openKey(path);
    chmodSync(path, 0o644);
    expect(openKey(path).isOpen).toBe(true);
  });

  it.each([
    ["nothing", ""],
    ["no key", "hello"],
  ])("file with %s in it is refused, never replaced", (_, text) => {
    const path = place();
    openKey(path);
    writeFileSync(path, text);
    expect(errorOf(() => openKey(path))).toMatchObject({ code: "key-unusable", exit: 74 });
    expect(readFileSync(path, "utf8")).toBe(text);
  });

  it("that is a folder, a device or far too large is refused", () => {
    const large = place();
    openKey(large);
    writeFileSync(large, "x".repeat(100_000));
    for (const path of [temporaryFolder(), "/dev/zero", large])
      expect(errorOf(() => openKey(path))).toMatchObject({
        code: "key-unusable",
        exit: 74,
        message: expect.stringContaining("no file with a key"),
      });
  });

  it("is one and the same for programs that make it at once", () => {
    const path = place();
    const source = new URL("../../src/storage/key.ts", import.meta.url).href;
    const script = `import { openKey } from ${JSON.stringify(source)}; console.log(openKey(${JSON.stringify(path)}).fingerprint);`;
    const one = `${process.execPath} --import tsx --input-type=module -e "$SCRIPT"`;
    const { stdout } = spawnSync("sh", ["-c", `${one} & ${one} & ${one}; wait`], {
      encoding: "utf8",
      env: { ...process.env, SCRIPT: script },
    });
    expect(stdout.trim().split("\n")).toEqual(Array.from({ length: 3 }, () => openKey(path).fingerprint));
  });

  it("of another kind is refused", () => {
    const path = place();
    openKey(path);
    const made = spawnSync(process.execPath, [
      "-e",
      "const c=require('crypto');process.stdout.write(c.generateKeyPairSync('ec',{namedCurve:'P-256'}).privateKey.export({type:'pkcs8',format:'pem'}))",
    ]);
    writeFileSync(path, made.stdout);
    expect(errorOf(() => openKey(path))).toMatchObject({ code: "key-unusable" });
  });

  it("where nothing can be written is an error with a way out", () => {
    const folder = temporaryFolder();
    chmodSync(folder, 0o555);
    const error = errorOf(() => withoutPrivilege(() => openKey(join(folder, "key", "private.pem"))));
    expect(error).toMatchObject({ code: "key-unusable", exit: 74, hint: expect.stringContaining("STAUNCH_KEY") });
  });
});

describe("its counter of attempts", () => {
  it("counts from 1, over restarts, in a file only its owner reads", () => {
    const path = place();
    expect(openKey(path).attempts()).toBe(0);
    expect([openKey(path).beginAttempt(), openKey(path).beginAttempt(), openKey(path).attempts()]).toEqual([1, 2, 2]);
    expect(modeOf(`${path}.attempts`)).toBe("600");
  });

  it("gives no number twice to programs that count at once", () => {
    const path = place();
    openKey(path);
    const source = new URL("../../src/storage/key.ts", import.meta.url).href;
    const script = `import { openKey } from ${JSON.stringify(source)}; const key = openKey(${JSON.stringify(path)});
      for (let i = 0; i < 20; i++) console.log(key.beginAttempt());`;
    const both = `${process.execPath} --import tsx --input-type=module -e "$SCRIPT" & ${process.execPath} --import tsx --input-type=module -e "$SCRIPT"; wait`;
    const { stdout } = spawnSync("sh", ["-c", both], { encoding: "utf8", env: { ...process.env, SCRIPT: script } });
    const numbers = stdout.trim().split("\n").map(Number);
    expect(numbers.sort((a, b) => a - b)).toEqual(Array.from({ length: 40 }, (_, i) => i + 1));
  });

  it("of another key, or scribbled on, is refused", () => {
    const path = place();
    const key = openKey(path);
    key.beginAttempt();
    writeFileSync(`${path}.attempts`, '{"key":"0000","attempts":1}');
    expect(errorOf(() => key.beginAttempt())).toMatchObject({ code: "key-unusable" });
    writeFileSync(`${path}.attempts`, "?");
    expect(errorOf(() => key.beginAttempt())).toMatchObject({ code: "key-unusable" });
    rmSync(`${path}.attempts`);
    expect(key.beginAttempt()).toBe(1);
  });
});
