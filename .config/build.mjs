// Bundles src/main.ts into dist/, and the process that holds the Bluetooth stack beside it: one small entry, a chunk for every command, nothing read from node_modules but native addons.
import { chmod, rename, rm } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const root = fileURLToPath(new URL("..", import.meta.url));

// ink imports react-devtools-core, which is not installed and never wanted: an empty module stands in for it.
const noDevtools = {
  name: "no-devtools",
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /^react-devtools-core$/ }, () => ({ path: "empty", namespace: "no-devtools" }));
    onLoad({ filter: /.*/, namespace: "no-devtools" }, () => ({ contents: "export default undefined;" }));
  },
};

// Built beside and put in place at the end: a program that is running meanwhile keeps finding its chunks for all but a moment.
const fresh = `.dist-${process.pid}`;
await build({
  absWorkingDir: root,
  entryPoints: { staunch: "src/main.ts", "bluetooth-child": "src/links/bluetooth/child.ts" },
  outdir: fresh,
  chunkNames: "parts/[name]-[hash]",
  bundle: true,
  splitting: true,
  format: "esm",
  platform: "node",
  target: "node20",
  minify: true,
  // Names stay, so that a defect's stack says where it was.
  keepNames: true,
  sourcemap: false,
  legalComments: "none",
  define: { "process.env.NODE_ENV": '"production"' },
  // Packages with native addons find those beside themselves.
  external: ["serialport", "better-sqlite3", "@abandonware/noble"],
  plugins: [noDevtools],
  banner: {
    js: ['import { createRequire as __createRequire } from "node:module";', "const require = __createRequire(import.meta.url);"].join("\n"),
  },
  logLevel: "warning",
});
await chmod(`${root}/${fresh}/staunch.js`, 0o755);
await rm(`${root}/dist`, { recursive: true, force: true });
await rename(`${root}/${fresh}`, `${root}/dist`);
