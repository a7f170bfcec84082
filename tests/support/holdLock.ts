import { lockArchive } from "../../src/storage/lock.ts";

/** A program of its own that runs "a test": takes the archive's lock, says so, and stays until it is killed or stdin ends. */
const [path = "", record = ""] = process.argv.slice(2);
lockArchive(path, { pid: process.pid, host: "tailgate", since_wall_ms: Date.UTC(2026, 2, 1, 8, 15), record });
process.stdout.write("held\n");
process.stdin.resume();
