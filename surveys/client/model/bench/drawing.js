/** How a section is drawn: how high each band is, how its lower boundary runs, and what it is called by who cannot see it. */

/** @typedef {import("./stack.js").Layer} Layer */

/** Pixels for one micrometre. */
const SCALE = 2;
export const LOWEST = 44;
export const HIGHEST = 160;
const WIDE = 24;

/** @param {string} thickness in µm, as it is typed @returns {{ height: number, remark: string }} */
export function band(thickness) {
  const micrometres = Number(thickness);
  if (thickness === "" || !Number.isFinite(micrometres) || micrometres <= 0) return { height: LOWEST, remark: "" };
  const height = Math.round(micrometres * SCALE);
  if (height < LOWEST) return { height: LOWEST, remark: "drawn thicker" };
  if (height > HIGHEST) return { height: HIGHEST, remark: "drawn thinner" };
  return { height, remark: "" };
}

/** What the key says of the scale. */
export const SCALE_TOLD = `Layers of ${LOWEST / SCALE} to ${HIGHEST / SCALE} µm are drawn to scale; those that are thinner or thicker say so, those not measured are drawn ${LOWEST / SCALE} µm thick.`;

/** Each boundary by a line of its own shape. @type {Readonly<Record<string, { shape: string, dash: string, width: number }>>} */
const LINES = {
  sharp: { shape: "straight", dash: "", width: 2 },
  fused: { shape: "straight", dash: "10 7", width: 2 },
  soiled: { shape: "straight", dash: "0.1 9", width: 6 },
  weathered: { shape: "wave", dash: "", width: 2 },
  cracked: { shape: "zigzag", dash: "", width: 2 },
  "scraped or scorched": { shape: "hatch", dash: "", width: 2 },
  unclear: { shape: "straight", dash: "2 10", width: 2 },
};

export const BOUNDARIES = Object.keys(LINES);

/**
 * The line of a boundary as a path of that length, in a strip 12 high; none where nothing was said.
 * @param {string} boundary @param {number} length
 */
export function line(boundary, length) {
  const found = LINES[boundary];
  if (!found) return null;
  return { path: shaped(found.shape, length), dash: found.dash, width: found.width };
}

/** @param {string} shape @param {number} length */
function shaped(shape, length) {
  const steps = Math.ceil(length / WIDE);
  const each = (/** @type {(from: number) => string} */ draw) => Array.from({ length: steps }, (_, step) => draw(step * WIDE)).join("");
  if (shape === "wave") return `M0 6${each((from) => `Q${from + 6} 0 ${from + 12} 6T${from + 24} 6`)}`;
  if (shape === "zigzag") return `M0 11${each((from) => `L${from + 12} 1L${from + 24} 11`)}`;
  if (shape === "hatch") return `M0 10H${length}${each((from) => `M${from + 4} 10L${from + 12} 1M${from + 16} 10L${from + 24} 1`)}`;
  return `M0 6H${length}`;
}

/** @param {Record<string, string>} texts */
export function uvTold(texts) {
  const said = [texts["uv_strength"], texts["uv_colour"]].filter(Boolean).join(" ");
  return said === "" ? "" : `UV ${said}`;
}

/** A strength as so many of three bars. @type {Readonly<Record<string, string>>} */
const BARS = { none: "▯▯▯", weak: "▮▯▯", moderate: "▮▮▯", strong: "▮▮▮" };

/** @param {string} strength */
export function bars(strength) {
  return BARS[strength] ?? "";
}

/** The colour in words: its name, its notation, or its measure. @param {Record<string, string>} texts */
export function colourTold(texts) {
  const lab = texts["lab_l"] && texts["lab_a"] && texts["lab_b"] ? `L*a*b* ${texts["lab_l"]}, ${texts["lab_a"]}, ${texts["lab_b"]}` : "";
  return [texts["colour"], texts["munsell"] || lab].filter(Boolean).join(", ");
}

/**
 * 'Layer 3 of 12, paint, stone, 10YR 7/3, UV moderate milky, soiled below'.
 * @param {Layer} layer @param {number} position @param {number} whole @param {string} state what stands of its saving, blank when all is saved
 */
export function bandName(layer, position, whole, state) {
  const { texts } = layer;
  const parts = [
    `Layer ${position} of ${whole}`, texts["kind"] || "kind not said", colourTold(texts) || "colour not said", uvTold(texts),
    texts["completeness"] && texts["completeness"] !== "present" ? texts["completeness"] : "", texts["lower_boundary"] ? `${texts["lower_boundary"]} below` : "",
    texts["thickness_um"] ? `${texts["thickness_um"]} µm` : "", state,
  ];
  return parts.filter(Boolean).join(", ");
}
