import { RECORD_SOURCES } from "../core/link.ts";
import { type RecordStart, VERDICT_WORDS, type Verdict } from "../core/record.ts";
import { field, has, hasEach, type Kinds } from "./shape.ts";

const RULE = ["simple", "guarded"];
const METHOD: Kinds = { id: "string", title: "string", source: "string" };

const START: Kinds = {
  id: "string",
  started_wall_ms: "number",
  source: RECORD_SOURCES,
  stage: "string",
  tester: "string?",
  rule: RULE,
  strict: "boolean",
  program: "string",
  judge_version: "number",
};
const SECTION: Kinds = { id: "string", dn_mm: "number?", material: "string?", laid_length_m: "number?" };
const GAUGE: Kinds = {
  url: "string",
  protocol: "string",
  reference: ["vented", "absolute"],
  resolution_Pa: "number?",
  accuracy_fraction: "number?",
  accuracy_Pa: "number?",
};
/** What a gauge on file adds; each may be absent. */
const GAUGE_ON_FILE: Kinds = {
  name: "string",
  serial: "string",
  certificate: "string",
  calibrated: "string",
  due: "string",
  identity: "string",
  usbOnFile: "string",
  usb: "string",
  outOfDateReason: "string",
  zeroDrift_Pa: "number",
};
const AS_TESTED = ["plugs", "weather", "witness"];
const LIMITS: Kinds = {
  medium: ["air", "water"],
  stop: ["fixed-time", "fixed-drop"],
  direction: ["pressure", "vacuum"],
  charge_Pa: "number",
  settle_s: "number",
  test_Pa: "number",
  hold_s: "number",
  permittedDrop_Pa: "number",
  floor_Pa: "number?",
  boundary: ["less-or-equal", "less"],
  startTolerance_Pa: "number",
  top_Pa: "number",
  dn_mm: "number?",
  material: "string?",
  laid_length_m: "number?",
  provenance: "string",
  working: "texts",
  cautions: "texts",
};

const WATER_LIMITS: Kinds = {
  unit: ["kPa", "mmH2O"],
  low_Pa: "number",
  high_Pa: "number",
  told: "boolean",
  band_Pa: "number",
  holdTolerance_s: "number",
  part: ["pipelines", "pipelines with chambers", "chambers"],
  litresPerM2: "number",
  area_m2: "number",
  permitted_L: "number",
  surface_m2: "number?",
  standpipe_mm: "number?",
};
const WATER_PLAN: Kinds = { head_Pa: "number?", fall_m: "number", standpipe_mm: "number?" };
const WATER_FIGURES: Kinds = {
  added_L: "number?",
  u_added_L: "number?",
  permitted_L: "number",
  area_m2: "number",
  litres_per_m2: "number",
  top_ups: "number",
  volume: ["entered", "from-head"],
  test_head_Pa: "number?",
  lowest_head_Pa: "number?",
  highest_head_Pa: "number?",
};

/** Not there, which is the rule, or as it has to be. */
const absentOr = (value: unknown, whole: (value: unknown) => boolean): boolean => value === undefined || whole(value);

const isWater = (value: unknown): boolean => {
  const plan = field(value, "plan");
  return (
    has(value, WATER_LIMITS) &&
    has(plan, WATER_PLAN) &&
    hasEach(field(plan, "branches"), { bore_mm: "number", length_m: "number" }) &&
    hasEach(field(plan, "chambers"), { bore_mm: "number", height_m: "number" })
  );
};

const isGauge = (value: unknown): boolean =>
  has(value, GAUGE) &&
  Object.entries(GAUGE_ON_FILE).every(([name, kind]) => absentOr(field(value, name), () => has(value, { [name]: kind }))) &&
  absentOr(field(value, "range_Pa"), (range) => hasTwoNumbers(range));

const isAlso = (value: unknown): boolean =>
  hasEach(value, { role: ["atmosphere", "pipe-temperature"] }) &&
  Array.isArray(value) &&
  value.every((one) => isGauge(field(one, "gauge")));

const isAsTested = (value: unknown): boolean =>
  has(value, {}) &&
  absentOr(field(value, "caps"), (caps) => has({ caps }, { caps: "texts" })) &&
  AS_TESTED.every((name) => absentOr(field(value, name), (told) => typeof told === "string"));

const hasTwoNumbers = (value: unknown): boolean =>
  Array.isArray(value) && value.length === 2 && value.every((one) => typeof one === "number");

/** Every field that is read has its kind; more may stand beside them. What the figures say is not looked at. */
export function isStart(value: unknown): value is RecordStart {
  const limits = field(value, "limits");
  return (
    has(value, START) &&
    has(field(value, "section"), SECTION) &&
    isGauge(field(value, "gauge")) &&
    has(limits, LIMITS) &&
    absentOr(field(limits, "water"), isWater) &&
    absentOr(field(value, "also"), isAlso) &&
    absentOr(field(value, "asTested"), isAsTested) &&
    absentOr(field(value, "overrides"), (id) => typeof id === "string") &&
    has(field(limits, "method"), METHOD)
  );
}

const VERDICT: Kinds = {
  schema: ["staunch/verdict/1"],
  verdict: VERDICT_WORDS,
  judge: ["live", "whole-curve"],
  judge_version: "number",
  rule: RULE,
  source: RECORD_SOURCES,
  record: "string?",
  program: "string",
  settled_at_s: "number?",
  readings: "number",
};
const HOLD: Kinds = {
  from_s: "number?",
  to_s: "number?",
  required_s: "number",
  start_Pa: "number?",
  end_Pa: "number?",
  drop_Pa: "number?",
  permitted_Pa: "number",
  floor_Pa: "number?",
  u_drop_Pa: "number?",
  time_s: "number?",
  u_time_s: "number?",
  probability_conforming: "number?",
};
const LEAK: Kinds = { decay_per_min: "number?", rate_L_min: "number?", free_air_L_min: "number?", hole_mm: "number?" };
const FINDING: Kinds = { code: "string", text: "string", figures: "object" };

/** As `isStart`, of a verdict. */
export function isVerdict(value: unknown): value is Verdict {
  return (
    has(value, VERDICT) &&
    has(field(value, "method"), METHOD) &&
    has(field(value, "hold"), HOLD) &&
    has(field(value, "leak"), LEAK) &&
    hasEach(field(value, "reasons"), FINDING) &&
    hasEach(field(value, "remarks"), FINDING) &&
    hasEach(field(value, "phases"), { phase: "string", from_s: "number", to_s: "number" }) &&
    absentOr(field(value, "water"), (figures) => has(figures, WATER_FIGURES))
  );
}
