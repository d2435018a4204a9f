/** The fields that are entered at the microscope, in the order in which one looks, and the key that leads to each. */

import { sheetKind } from "../sheet/columns.js";

/** @typedef {import("../sheet/columns.js").Column} Column */
/** @typedef {import("../sheet/columns.js").SheetKind} SheetKind */

const LAYERS = /** @type {SheetKind} */ (sheetKind("layers"));
const SAMPLES = /** @type {SheetKind} */ (sheetKind("samples"));
const LAYER_FIELDS = ["kind", "completeness", "colour", "munsell", "munsell_by", "lab_l", "lab_a", "lab_b", "uv_colour", "uv_strength", "lower_boundary",
  "thickness_um", "first_colour", "sheen", "texture", "pigments", "binder", "tests", "notes"];
const SAMPLE_FIELDS = ["base_state", "top_state", "status", "examined_visible_on", "examined_visible_by", "examined_uv_on", "examined_uv_by", "notes"];

/** Digits, so that one hand on the number pad reaches what is asked of every layer. @type {Readonly<Record<string, string>>} */
export const DIGITS = {
  1: "kind", 2: "completeness", 3: "colour", 4: "munsell", 5: "lab_l", 6: "uv_colour", 7: "uv_strength", 8: "lower_boundary", 9: "thickness_um", 0: "notes",
};

/** @param {SheetKind} kind @param {readonly string[]} names @returns {Column[]} */
function chosen(kind, names) {
  return names.map((name) => kind.columns.find((one) => one.name === name)).filter((one) => one !== undefined);
}

/** What one enters of a layer. */
export const ENTERED = chosen(LAYERS, LAYER_FIELDS);
/** What one enters of the sample. */
export const OF_SAMPLE = chosen(SAMPLES, SAMPLE_FIELDS);

/** Layers as the bench holds them: where a layer stands is not typed, and its generation is inferred, never entered here. @returns {Column[]} */
export function layerColumns() {
  const rest = chosen(LAYERS, ["sample", "generation"]).map((one) => (one.name === "generation" ? { ...one, editable: false } : one));
  return [...ENTERED, ...rest];
}

/** @param {readonly Column[]} columns @param {boolean} writes @returns {Column[]} */
export function allowed(columns, writes) {
  return writes ? [...columns] : columns.map((one) => ({ ...one, editable: false }));
}

/** Fields that are judged as one. */
export const TOGETHER = LAYERS.together;

/** @param {string} name */
export function keyOf(name) {
  return Object.entries(DIGITS).find(([, field]) => field === name)?.[0] ?? "";
}
