import { execFileSync } from "node:child_process";
import { fileURLToPath } from "node:url";

/** Tests of the built program must meet the source as it is now. */
export default function build(): void {
  const script = fileURLToPath(new URL("../../.config/build.mjs", import.meta.url));
  execFileSync(process.execPath, [script], { stdio: "inherit" });
}
