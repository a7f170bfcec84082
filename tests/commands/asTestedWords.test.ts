import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { asTestedFrom } from "../../src/commands/asTestedWords.ts";
import { records } from "../../src/commands/records.ts";
import { openArchive } from "../../src/storage/open.ts";
import { startOf } from "../../src/storage/recordRows.ts";
import { headOf, sealedRecordOf } from "../../src/storage/sealHead.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";
import { testAt } from "../support/gaugeCommand.ts";
import { testIo } from "../support/io.ts";
import { sampleStart } from "../support/records.ts";

const TOLD = [
  ...[
    "--branch",
    "6in x 4",
    "--plugs",
    "inflatable, braced (invented)",
    "--cap",
    "branch 1: \u202escrew cap\u001b[31m",
    "--cap",
    "riser: plug",
  ],
  ...["--weather", "overcast, 9 °C", "--witness", "I. Moss (invented)"],
];

/** The archive of one simulated test in which all was told. */
async function tested(): Promise<string> {
  const folder = temporaryFolder();
  const archive = join(folder, "site.staunch");
  const words = ["--gauge", "sim://?leak=0.2", "--pace", "5000", "--method", "astm-c828", "--dn", "8in", "--laid-length", "60", "--plain"];
  expect((await testAt(archive, [...words, ...TOLD], join(folder, "key.pem"))).exit).toBe(0);
  return archive;
}

describe("a section as it was tested", () => {
  it("is sealed with the record and stands on its page, hidden characters left out", async () => {
    const archive = await tested();
    const open = openArchive(archive, { mode: "read" });
    const row = open.db.prepare<[], { head: Buffer }>("select head from seals where kind = 'record'").get();
    const head = headOf(row?.head ?? new Uint8Array());
    const start = head === null ? null : sealedRecordOf(head)?.start;
    open.close();
    expect(start?.asTested).toEqual({
      plugs: "inflatable, braced (invented)",
      caps: ["branch 1: screw cap", "riser: plug"],
      weather: "overcast, 9 °C",
      witness: "I. Moss (invented)",
    });
    expect(start?.limits.told?.also).toEqual([{ dn_mm: expect.closeTo(152.4, 6), length_m: 4 }]);
    const io = testIo();
    await records.run({ ask: "show", id: "last", json: false }, { io, archive, program: "staunch test" });
    const page = io.outText.join("\n");
    expect(page).toMatch(/^branches DN 152.4 × 4 m$/m);
    expect(page).toMatch(/^plugs +inflatable, braced \(invented\)$/m);
    expect(page).toMatch(/^cap +branch 1: screw cap\ncap +riser: plug$/m);
    expect(page).toMatch(/^weather +overcast, 9 °C\nwitness +I\. Moss \(invented\)$/m);
  });

  it("is absent where nothing was told, and refused where the words say nothing", () => {
    expect(asTestedFrom({})).toEqual({});
    expect(errorOf(() => asTestedFrom({ witness: " \u200b " })).code).toBe("words-empty");
    expect(errorOf(() => asTestedFrom({ cap: Array<string>(101).fill("x") })).code).toBe("caps-many");
  });

  it.each([null, [], "x", { caps: "x" }, { caps: [1] }, { plugs: 1 }, { witness: null }])("asTested = %j is none of ours", (asTested) => {
    const start = sampleStart();
    expect(startOf(JSON.stringify({ ...start, asTested }), start.id)).toBeNull();
    expect(startOf(JSON.stringify({ ...start, asTested: {} }), start.id)).not.toBeNull();
  });
});
