/** What one does to a section: acts on the layers of a sample, as plain values. The lowest layer stands first, so that its place is its position. */

/**
 * @typedef {object} Layer
 * @property {string} id
 * @property {Record<string, string>} texts what stands in its fields
 * @property {string} generation the number of the generation that it was placed in, blank for none
 * @property {boolean} held whether a ruling holds it there
 *
 * @typedef {readonly Layer[]} Stack
 *
 * @typedef {object} Done
 * @property {Layer[]} layers
 * @property {string} focus the layer to go on with
 * @property {string} said
 * @property {string[]} unplaced layers whose generation is withdrawn
 *
 * @typedef {{ refusal: string }} Refused
 */

/** An id that stands for a layer to be made. */
export const NEW = "+";
const JOINED = ["colour", "first_colour", "sheen", "texture", "uv_colour", "pigments", "binder", "tests"];
const SINGLE = /** @type {const} */ ([
  ["kind", ["kind"]], ["completeness", ["completeness"]], ["Munsell", ["munsell", "munsell_by"]], ["L*a*b*", ["lab_l", "lab_a", "lab_b"]],
  ["UV strength", ["uv_strength"]],
]);

/** @param {Stack} stack @param {string} id */
function placeOf(stack, id) {
  return stack.findIndex((one) => one.id === id);
}

/** @param {Record<string, string>} [texts] @returns {Layer} */
function fresh(texts = {}) {
  return { id: NEW, texts, generation: "", held: false };
}

/** @param {Stack} stack @param {number} place @param {Layer} layer */
function withLayer(stack, place, layer) {
  return [...stack.slice(0, place), layer, ...stack.slice(place)];
}

/** @param {Layer[]} layers @param {string} focus @param {string} said @param {string[]} [unplaced] @returns {Done} */
function done(layers, focus, said, unplaced = []) {
  return { layers, focus, said, unplaced };
}

/** A new layer beside one; with none to be beside it is the surface, or the first on the substrate. @param {Stack} stack @param {string} id @param {"above" | "below"} side @returns {Done} */
export function added(stack, id, side) {
  const at = placeOf(stack, id);
  const place = at < 0 ? (side === "above" ? stack.length : 0) : side === "above" ? at + 1 : at;
  return done(withLayer(stack, place, fresh()), NEW, `New layer ${place + 1} of ${stack.length + 1}. Say its kind.`);
}

/** Two layers of what was taken for one. How they meet was not seen yet, and the thickness was of both. @param {Stack} stack @param {string} id @returns {Done | Refused} */
export function split(stack, id) {
  const at = placeOf(stack, id);
  const layer = stack[at];
  if (!layer) return { refusal: "There is no layer to split." };
  const measured = (layer.texts["thickness_um"] ?? "") !== "";
  const texts = { ...layer.texts, thickness_um: "" };
  const lower = { ...layer, texts };
  const layers = withLayer(stack.map((one) => (one === layer ? lower : one)), at + 1, fresh({ ...texts, lower_boundary: "" }));
  return done(layers, NEW, `Split into layers ${at + 1} and ${at + 2}.${measured ? " The thickness was of both: measure again." : ""}`);
}

/** A layer once more, above itself. @param {Stack} stack @param {string} id @returns {Done | Refused} */
export function copied(stack, id) {
  const at = placeOf(stack, id);
  const layer = stack[at];
  if (!layer) return { refusal: "There is no layer to copy." };
  return done(withLayer(stack, at + 1, fresh({ ...layer.texts })), NEW, `Layer ${at + 2} is a copy of layer ${at + 1}.`);
}

/** @param {Stack} stack @param {string} id @param {1 | -1} by towards the surface or the substrate @returns {Done | Refused} */
export function moved(stack, id, by) {
  const at = placeOf(stack, id);
  const layer = stack[at];
  if (!layer) return { refusal: "There is no layer to move." };
  if (!stack[at + by]) return { refusal: by > 0 ? "It is at the surface already." : "It is next to the substrate already." };
  const layers = stack.filter((one) => one !== layer);
  layers.splice(at + by, 0, layer);
  return done(layers, id, `Layer ${at + 1} is layer ${at + by + 1} now.`);
}

/** @param {Stack} stack @param {string} id @returns {Done | Refused} */
export function removed(stack, id) {
  const at = placeOf(stack, id);
  const layer = stack[at];
  if (!layer) return { refusal: "There is no layer to remove." };
  if (layer.held) return { refusal: heldSentence(at, layer) };
  const layers = stack.filter((one) => one !== layer);
  return done(layers, (layers[at - 1] ?? layers[at])?.id ?? "", `Removed layer ${at + 1}. Z brings it back.`);
}

/** @param {number} at @param {Layer} layer */
function heldSentence(at, layer) {
  return `Layer ${at + 1} is held in generation ${layer.generation} by a ruling, which cites it. Withdraw the ruling first.`;
}

/** One layer of a layer and the one beneath. @param {Stack} stack @param {string} id @returns {Done | Refused} */
export function merged(stack, id) {
  const at = placeOf(stack, id);
  const [upper, lower] = [stack[at], stack[at - 1]];
  if (!upper) return { refusal: "There is no layer to merge." };
  if (!lower) return { refusal: "There is no layer beneath it to merge it with." };
  if (upper.held) return { refusal: heldSentence(at, upper) };
  const apart = lower.generation !== "" && upper.generation !== "" && lower.generation !== upper.generation;
  if (apart && lower.held) return { refusal: `${heldSentence(at - 1, lower)} Layer ${at + 1} is in generation ${upper.generation}.` };
  const one = { ...lower, texts: together(lower.texts, upper.texts), generation: apart ? "" : lower.generation };
  const layers = stack.filter((layer) => layer !== upper).map((layer) => (layer === lower ? one : layer));
  const withdrawn = apart ? ` It was in generation ${lower.generation} and the other in ${upper.generation}: it is in none now.` : "";
  return done(layers, lower.id, `Merged layers ${at} and ${at + 1} into layer ${at}.${withdrawn}`, apart ? [lower.id] : []);
}

/** Texts are joined; of what can stand once only the lower layer's stays, and what the upper said otherwise goes into the notes. @param {Record<string, string>} lower @param {Record<string, string>} upper */
function together(lower, upper) {
  /** @type {Record<string, string>} */
  const texts = { ...lower };
  for (const name of JOINED) texts[name] = joined(lower[name] ?? "", upper[name] ?? "");
  /** @type {string[]} */
  const otherwise = [];
  for (const [label, names] of SINGLE) {
    const [below, above] = [told(lower, names), told(upper, names)];
    if (below === "") for (const name of names) texts[name] = upper[name] ?? "";
    else if (above !== "" && above !== below) otherwise.push(`${label} ${above}`);
  }
  const thickness = thicknessOf(lower, upper);
  if (thickness.left !== "") otherwise.push(thickness.left);
  texts["thickness_um"] = thickness.sum;
  if (upper["lower_boundary"]) otherwise.push(`boundary between them ${upper["lower_boundary"]}`);
  const notes = [lower["notes"] ?? "", upper["notes"] ?? "", otherwise.length > 0 ? `Merged with a layer of ${otherwise.join(", ")}.` : ""];
  texts["notes"] = [...new Set(notes.filter(Boolean))].join("\n");
  return texts;
}

/** @param {Record<string, string>} texts @param {readonly string[]} names */
function told(texts, names) {
  return names.map((name) => texts[name] ?? "").filter(Boolean).join(" ");
}

/** @param {string} first @param {string} second */
function joined(first, second) {
  const parts = [...first.split(";"), ...second.split(";")].map((part) => part.trim()).filter(Boolean);
  return [...new Set(parts)].join("; ");
}

/** Together they are as thick as both, if both were measured. @param {Record<string, string>} lower @param {Record<string, string>} upper */
function thicknessOf(lower, upper) {
  const [below, above] = [lower["thickness_um"] ?? "", upper["thickness_um"] ?? ""];
  const sum = Number(below) + Number(above);
  if (below !== "" && above !== "" && Number.isFinite(sum)) return { sum: String(Math.round(sum * 1000) / 1000), left: "" };
  const left = below !== "" ? `the lower part ${below} µm thick` : above !== "" ? `the upper part ${above} µm thick` : "";
  return { sum: "", left };
}

/**
 * What differs between a stack before and after an act: the cells to write, the layers to make and to take out, and the order.
 * @param {Stack} before @param {Stack} after
 */
export function difference(before, after) {
  const known = new Map(before.map((one) => [one.id, one]));
  const stays = new Set(after.map((one) => one.id));
  const cells = after.flatMap((layer) => Object.entries(layer.texts)
    .filter(([name, text]) => text !== (known.get(layer.id)?.texts[name] ?? ""))
    .map(([name, text]) => ({ id: layer.id, name, text })));
  return { cells, makes: stays.has(NEW) && !known.has(NEW), gone: before.filter((one) => !stays.has(one.id)).map((one) => one.id), order: after.map((one) => one.id) };
}

/**
 * The value that is given once more: what was last entered in that field, else what the nearest layer beneath has, else the nearest above.
 * @param {Stack} stack @param {string} id @param {string} name @param {string | undefined} last
 */
export function repeated(stack, id, name, last) {
  if (last !== undefined && last !== "") return last;
  const at = placeOf(stack, id);
  const near = [...stack.slice(0, Math.max(at, 0)).reverse(), ...stack.slice(at + 1)];
  return near.map((one) => one.texts[name] ?? "").find((text) => text !== "") ?? "";
}
