/** The marks of a chart, the same on the screen as on paper (analysis/drawing): what each shows, and the words for it. */

/** @typedef {import("../types.js").Cell} Cell */

/** From the surest down: lowest confidence, the name of the outline, what it means. */
export const OUTLINES = /** @type {const} */ ([
  { least: 0.9, name: "firm", words: "90 % or more" },
  { least: 0.7, name: "thin", words: "70 to 89 %" },
  { least: 0.5, name: "dashed", words: "50 to 69 %" },
  { least: 0, name: "dotted", words: "under 50 %" },
]);
export const WEAK_DISTINCTNESS = 0.6;
export const PERCENT_BELOW = 0.9;
/** @type {Record<string, number>} */
export const UV_BARS = { none: 0, weak: 1, moderate: 2, strong: 3 };

/** The outline that shows a confidence; '' where none was computed. @param {Pick<Cell, "confidence" | "generation">} cell */
export function outline(cell) {
  const sure = cell.confidence;
  if (sure === null || cell.generation === null) return "";
  return (OUTLINES.find((one) => sure >= one.least) ?? OUTLINES[3]).name;
}

/** A probability in whole per cent, rounded down so that it never reads surer than it is. @param {number} value */
export function share(value) {
  return `${Math.floor(value * 100 + 1e-9)} %`;
}

/** What is written of a placing that is not sure. @param {Cell} cell */
export function doubt(cell) {
  return cell.confidence !== null && cell.generation !== null && cell.confidence < PERCENT_BELOW ? share(cell.confidence) : "";
}

/** Whether two neighbouring generations may be one campaign. @param {number | null} distinctness */
export function isWeak(distinctness) {
  return distinctness !== null && distinctness < WEAK_DISTINCTNESS;
}

/** Black or white, whichever stands out more from '#rrggbb' (contrast ratio of WCAG 2.2). @param {string} colour */
export function legibleOn(colour) {
  const parts = [1, 3, 5].map((start) => parseInt(colour.slice(start, start + 2), 16) / 255);
  const [red = 0, green = 0, blue = 0] = parts.map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
  const brightness = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  return (brightness + 0.05) / 0.05 >= 1.05 / (brightness + 0.05) ? "#000000" : "#ffffff";
}

/** The lines in a swatch: the colour's notation, the kind, and what is not whole about the layer. @param {Cell} cell */
export function written(cell) {
  const lab = cell.lab && cell.srgb ? `Lab ${cell.lab.map((part) => Math.round(part)).join(" ").replaceAll("-", "−")}` : "";
  const colour = cell.munsell || lab || (cell.colour ? `“${cell.colour}”` : "no colour");
  return [colour, cell.kind, cell.completeness === "present" ? "" : cell.completeness].filter(Boolean);
}

/** What is told of the UV response; it suggests materials, it proves none. @param {Pick<Cell, "uv_colour" | "uv_strength">} cell */
export function uvWords(cell) {
  if (!cell.uv_strength && !cell.uv_colour) return "";
  if (cell.uv_strength === "none") return "UV looked for, none seen";
  return ["UV", cell.uv_strength, cell.uv_colour].filter(Boolean).join(" ");
}

/** The key: a mark by its name, and what it says. */
export const KEY = /** @type {readonly (readonly [mark: string, words: string])[]} */ ([
  ...OUTLINES.map((one, index) => /** @type {const} */ ([`outline ${one.name}`, `${one.words}${index === 0 ? " sure that the layer belongs to this row" : ""}`])),
  ["plain", "no outline: no probability computed"],
  ["held", "held: placed by a person"],
  ["uv none", "UV looked for, none seen"],
  ["uv weak", "UV response weak"],
  ["uv moderate", "UV response moderate"],
  ["uv strong", "UV response strong"],
  ["", "no UV mark: not observed; a UV response suggests materials, it proves none"],
  ["hatched", "no colour measured; a quoted word is as written"],
  ["beyond", "corner: more saturated than a screen can show, drawn with less chroma"],
  ["broken", "the two generations may be one campaign; beside it, how surely they are two"],
]);
