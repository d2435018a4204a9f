/** Taking what was read into the record: layer by layer, with both values side by side, and nothing overwritten unasked. */

import { micrometres } from "./pictures.js";

/** @typedef {import("./types.js").ReadLayer} ReadLayer */
/** @typedef {import("../types.js").Row} Row */
/** @typedef {"leave" | "new" | "beside" | "replace"} Deed */
/** @typedef {{ index: number, deed: Deed, layer: string, fields: string[], kind: string }} Choice kind: that of a new layer */
/** @typedef {{ field: string, label: string, standing: string, read: string, differs: boolean }} Pair */

/** The fields that a reading can fill, as the record names them. */
const FIELDS = /** @type {const} */ ([
  ["thickness_um", "Thickness"], ["lab", "L*a*b*"], ["munsell", "Munsell"], ["uv_colour", "UV colour"], ["uv_strength", "UV strength"], ["lower_boundary", "Lower boundary"],
]);

/** What a layer is called of which nobody has said more. */
export const UNKNOWN = "unknown";

/** @param {unknown} value */
function plain(value) {
  return value === null || value === undefined ? "" : String(value);
}

/** @param {readonly unknown[]} values */
function triple(values) {
  return values.some((one) => one === null || one === undefined || one === "") ? "" : values.map((one) => Math.round(Number(one) * 10) / 10).join(", ");
}

/** What stands in a layer's field. @param {Row | null} layer @param {string} field */
export function standing(layer, field) {
  if (!layer) return "";
  if (field === "lab") return triple([layer["lab_l"], layer["lab_a"], layer["lab_b"]]);
  if (field === "thickness_um") return layer[field] === null || layer[field] === undefined || layer[field] === "" ? "" : micrometres(Number(layer[field]));
  return plain(layer[field]);
}

/** What was read for a field. @param {ReadLayer} read @param {string} field */
export function readOf(read, field) {
  if (field === "lab") return read.lab ? triple(read.lab) : "";
  if (field === "thickness_um") return read.thickness_um === null ? "" : micrometres(read.thickness_um);
  if (field === "lower_boundary") return read.boundary;
  return plain(/** @type {Record<string, unknown>} */ (/** @type {unknown} */ (read))[field]);
}

/** Both values of every field that was read. @param {ReadLayer} read @param {Row | null} layer @returns {Pair[]} */
export function pairs(read, layer) {
  return FIELDS.map(([field, label]) => ({ field, label, standing: standing(layer, field), read: readOf(read, field) }))
    .filter((one) => one.read !== "").map((one) => ({ ...one, differs: one.standing !== one.read }));
}

/**
 * What is chosen at first: with no layers in the record all are new; else what fits stands beside, and nothing is made or replaced.
 * @param {readonly ReadLayer[]} read @param {readonly Row[]} layers the sample's, lowest first @param {ReadonlyMap<number, string>} fits layer of the record by number of the read one
 * @returns {Choice[]}
 */
export function first(read, layers, fits) {
  return read.map((one) => {
    const layer = one.accepted ?? fits.get(one.index) ?? "";
    const known = layers.some((each) => each.id === layer);
    /** @type {Deed} */
    const deed = one.accepted ? "leave" : layers.length === 0 ? "new" : known ? "beside" : "leave";
    return { index: one.index, deed, layer: known ? layer : "", fields: [], kind: UNKNOWN };
  });
}

/** Colours that were read without a target are put beside what stands, never in its place. */
const COLOURS = new Set(["lab", "munsell"]);

/** Whether a field may take the place of what stands. @param {string} field @param {boolean} calibrated */
export function replaces(field, calibrated) {
  return calibrated || !COLOURS.has(field);
}

/** Why what was read is not taken for a new layer's field, blank if it is. @param {string} field @param {boolean} calibrated */
export function leftToPerson(field, calibrated) {
  if (!replaces(field, calibrated)) return "uncalibrated";
  return field === "lower_boundary" ? "a hint; look, and say it on the bench" : "";
}

/** What is wrong with what was chosen, blank if nothing is. @param {readonly Choice[]} choices @param {readonly Row[]} layers */
export function wrong(choices, layers) {
  const done = choices.filter((one) => one.deed !== "leave");
  if (done.length === 0) return "Nothing is chosen: say for at least one layer what is to become of it.";
  const named = done.filter((one) => one.deed !== "new");
  if (named.some((one) => one.layer === "")) return `Say which layer of the record read layer ${named.find((one) => one.layer === "")?.index} belongs to.`;
  if (named.some((one) => one.deed === "replace" && one.fields.length === 0)) return `Say which fields of read layer ${named.find((one) => one.deed === "replace" && one.fields.length === 0)?.index} replace what stands, or put it beside.`;
  const places = named.map((one) => layers.findIndex((each) => each.id === one.layer));
  if (new Set(places).size < places.length) return "Two read layers are given to one layer of the record. Merge them along the line first, or choose another.";
  if (places.some((place, at) => at > 0 && place < (places[at - 1] ?? 0))) return "The layers chosen do not rise in the order in which they were read.";
  return "";
}

/** Where each new layer goes: above the layer of the record that the read one beneath it was given to, or above the last new one. @param {readonly Choice[]} choices @param {readonly Row[]} layers @returns {Map<number, number>} */
export function positions(choices, layers) {
  /** @type {Map<number, number>} */
  const found = new Map();
  const placed = (/** @type {Choice} */ one) => layers.findIndex((each) => each.id === one.layer) + 1;
  const anyKnown = choices.some((one) => one.deed !== "new" && placed(one) > 0);
  let [below, made] = [anyKnown ? 0 : layers.length, 0];
  for (const one of choices) {
    if (one.deed === "new") {
      made += 1;
      found.set(one.index, below + made);
    } else if (placed(one) > 0) below = placed(one);
  }
  return found;
}

/** What is sent. @param {readonly Choice[]} choices @param {readonly Row[]} layers */
export function rows(choices, layers) {
  const at = positions(choices, layers);
  return choices.filter((one) => one.deed !== "leave").map((one) => {
    if (one.deed === "new") return { index: one.index, deed: one.deed, position: at.get(one.index), kind: one.kind };
    const layer = layers.find((each) => each.id === one.layer);
    const named = { index: one.index, deed: one.deed, layer: one.layer };
    return one.deed === "beside" ? named : { ...named, layer_version: layer?.version, fields: one.fields };
  });
}

/** What will be done, in a sentence. @param {readonly Choice[]} choices */
export function told(choices) {
  const many = (/** @type {Deed} */ deed) => choices.filter((one) => one.deed === deed).length;
  const [made, beside, replaced, left] = [many("new"), many("beside"), many("replace"), many("leave")];
  const parts = [made && `${made} new`, beside && `${beside} put beside what stands`, replaced && `${replaced} replacing fields`, left && `${left} left out`].filter(Boolean);
  return `${parts.join(", ")}.`;
}
