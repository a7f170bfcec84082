import ts from "typescript";

/** One import, or one thing that must not be said there. */
export interface Breach {
  file: string;
  target: string;
}

interface Layer {
  house: readonly string[];
  packages: readonly string[];
  node: readonly string[] | "any";
}

const DRAWING = ["pdfkit", "d3-array", "d3-scale", "d3-shape"];

const ABOVE = ["core", "intake", "links", "session", "storage", "evidence", "reports", "terminal"]
  .map((name) => `src/${name}`)
  .concat("drivers");

/** The import table of the design. A house entry is a folder or, with an extension, one file; a folder may always import itself. */
export const TABLE: Readonly<Record<string, Layer>> = {
  "src/core": { house: [], packages: [], node: [] },
  drivers: { house: ["src/core/driver.ts", "src/core/journal.ts", "src/core/units.ts", "src/core/errors.ts"], packages: [], node: [] },
  "src/intake": { house: ["src/core"], packages: ["csv-parse", "csv-stringify", "smol-toml", "zod"], node: [] },
  "src/links": {
    house: ["src/core", "drivers/simulated"],
    packages: ["serialport", "@abandonware/noble", "rxjs"],
    node: ["fs", "child_process"],
  },
  "src/session": { house: ["src/core"], packages: ["rxjs"], node: [] },
  "src/storage": { house: ["src/core", "src/evidence"], packages: ["better-sqlite3"], node: ["fs", "path", "zlib", "crypto"] },
  "src/evidence": { house: ["src/core"], packages: [], node: ["crypto"] },
  "src/reports": { house: ["src/core"], packages: DRAWING, node: [] },
  "src/terminal": { house: ["src/core"], packages: ["ink", "react"], node: [] },
  "src/commands": { house: ABOVE, packages: ["rxjs", "commander"], node: "any" },
  "src/main.ts": { house: ["src/commands", "src/core", "package.json"], packages: ["env-paths"], node: "any" },
};

/** Clocks, dice and the process: core and drivers get them handed in or not at all. */
const IMPURE = new Set([
  "Date.now",
  "performance.now",
  "Math.random",
  "process",
  "setTimeout",
  "setInterval",
  "setImmediate",
  "queueMicrotask",
  "fetch",
  "console",
  "new Date()",
]);
const PURE_LAYERS = ["src/core", "drivers"];

const within = (path: string, place: string): boolean => path === place || path.startsWith(`${place}/`);

/** The layer a file belongs to; `undefined` for a file outside the house. */
export const layerOf = (file: string): string | undefined =>
  Object.keys(TABLE)
    .filter((place) => within(file, place))
    .sort((a, b) => b.length - a.length)[0];

/** "../core/units.ts" seen from src/links/serial.ts → "src/core/units.ts". */
export function resolveHouse(file: string, target: string): string {
  const parts = file.split("/").slice(0, -1);
  for (const part of target.split("/")) {
    if (part === "..") parts.pop();
    else if (part !== ".") parts.push(part);
  }
  return parts.join("/");
}

function isAllowed(file: string, target: string): boolean {
  const place = layerOf(file);
  const layer = place === undefined ? undefined : TABLE[place];
  if (place === undefined || layer === undefined) return false;
  if (target.startsWith(".")) {
    const path = resolveHouse(file, target);
    return [place, ...layer.house].some((allowed) => within(path, allowed));
  }
  if (target.startsWith("node:")) return layer.node === "any" || layer.node.some((name) => within(target.slice(5), name));
  return layer.packages.some((name) => within(target, name));
}

/** Everything a file names in import, export … from, import() and import types. */
function importsOf(source: ts.SourceFile): string[] {
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if ((ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) && node.moduleSpecifier && ts.isStringLiteral(node.moduleSpecifier))
      found.push(node.moduleSpecifier.text);
    if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword) {
      const [argument] = node.arguments;
      found.push(argument !== undefined && ts.isStringLiteral(argument) ? argument.text : "an import() of no plain name");
    }
    if (ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument) && ts.isStringLiteral(node.argument.literal))
      found.push(node.argument.literal.text);
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

const isName = (node: ts.Identifier): boolean => {
  const { parent } = node;
  const isMember = ts.isPropertyAccessExpression(parent) && parent.name === node;
  const isKey =
    (ts.isPropertyAssignment(parent) || ts.isPropertySignature(parent) || ts.isMethodDeclaration(parent)) && parent.name === node;
  return !isMember && !isKey;
};

/** Clocks and dice a file uses. */
function impuritiesOf(source: ts.SourceFile): string[] {
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isPropertyAccessExpression(node) && IMPURE.has(`${node.expression.getText(source)}.${node.name.text}`))
      found.push(`${node.expression.getText(source)}.${node.name.text}`);
    if (ts.isIdentifier(node) && IMPURE.has(node.text) && isName(node)) found.push(node.text);
    if (ts.isNewExpression(node) && node.expression.getText(source) === "Date" && (node.arguments?.length ?? 0) === 0)
      found.push("new Date()");
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

/** All that a file does against the table. `file` is its path from the project's root, with forward slashes. */
export function breachesOf(file: string, text: string): Breach[] {
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true, file.endsWith("x") ? ts.ScriptKind.TSX : ts.ScriptKind.TS);
  const imports = importsOf(source).filter((target) => !isAllowed(file, target));
  const impure = PURE_LAYERS.some((place) => within(file, place)) ? impuritiesOf(source) : [];
  return [...imports, ...impure].map((target) => ({ file, target }));
}
