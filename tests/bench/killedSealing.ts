import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { openKey } from "../../src/storage/key.ts";
import { openArchive } from "../../src/storage/open.ts";
import { sampleVerdict } from "../support/records.ts";

/** The victim of killSeal.ts: says `go`, then packs and seals the open record of an archive, in the midst of which it is killed. */
const [path = "", key = ""] = process.argv.slice(2);
const sealing = { key: openKey(key), onUnsealed: (reason: string) => console.error(reason) };
const archive = openArchive(path, { mode: "write" });
process.stdout.write("go\n", () => {
  const { closed } = closeInterrupted(archive, Date.now(), (start) => sampleVerdict(start, { verdict: "void" }), sealing);
  console.log(`sealed ${closed.length}`);
  setInterval(() => undefined, 1000);
});
