import { openForeign } from "../../src/storage/foreign.ts";
import { merge } from "../../src/storage/merge.ts";
import { openArchive } from "../../src/storage/open.ts";

/** The child of merge.ts: takes files in one after another as the command does, and says how far it is. */
const [path = "", ...files] = process.argv.slice(2);
const archive = openArchive(path, { mode: "write" });
const total = { taken: 0, already: 0, refused: 0 };
for (const file of files) {
  const from = openForeign(file, path);
  const { taken, already, refused } = merge(archive, from, { takeAltered: false, wall_ms: 0 });
  from.close();
  total.taken += taken;
  total.already += already;
  total.refused += refused.length;
  process.stdout.write(`${total.taken + total.already}\n`);
}
archive.close();
console.log(JSON.stringify(total));
