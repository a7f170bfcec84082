import { chmodSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach } from "vitest";

const folders: string[] = [];

/** A folder of this test's own, others may look into it; removed after the test. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "staunch-"));
  chmodSync(folder, 0o755);
  folders.push(folder);
  return folder;
}

afterEach(() => {
  for (const folder of folders.splice(0)) {
    chmodSync(folder, 0o755);
    rmSync(folder, { recursive: true, force: true });
  }
});

/** Runs `action` as a user whom permission bits stop: the superuser takes another name for that long. */
export function withoutPrivilege<T>(action: () => T): T {
  const isRoot = process.geteuid?.() === 0;
  if (!isRoot || process.seteuid === undefined) return action();
  process.seteuid(65534);
  try {
    return action();
  } finally {
    process.seteuid(0);
  }
}
