/** The profile of a line as curves: one panel each for L*, a*, b* and UV, all along the same way from the substrate to the surface. */

/** @typedef {import("./types.js").Profile} Profile */
/** @typedef {{ name: string, told: string, least: number, most: number, d: string, zero: number | null }} Panel */

export const WIDE = 1000;
export const HIGH = 46;
const GAP = 1;

/**
 * What was read before the foot of the line and beyond its end is left out: the drawing goes from the one to the other.
 * @param {readonly number[]} values @param {number} least @param {number} most @param {Pick<Profile, "start_px" | "step_px">} profile @param {number} long
 */
function curve(values, least, most, { start_px: start, step_px: step }, long) {
  const places = values.flatMap((value, at) => {
    const far = start + at * step;
    if (far < 0 || far > long) return [];
    const y = HIGH - GAP - ((Math.min(most, Math.max(least, value)) - least) / (most - least)) * (HIGH - 2 * GAP);
    return [`${placeOf(far, long).toFixed(1)} ${y.toFixed(1)}`];
  });
  return places.length ? `M${places.join("L")}` : "";
}

/** The panels. @param {Profile} profile @param {number} long the length of the path in px @returns {Panel[]} */
export function panels(profile, long) {
  const column = (/** @type {number[][]} */ rows, /** @type {number} */ at) => rows.map((one) => one[at] ?? 0);
  const made = (/** @type {string} */ name, /** @type {string} */ told, /** @type {number[]} */ values, /** @type {boolean} */ signed) => {
    const far = Math.max(20, ...values.map(Math.abs));
    const [least, most] = signed ? [-far, far] : [0, 100];
    const zero = signed ? HIGH / 2 : null;
    return { name, told, least: Math.round(least), most: Math.round(most), d: curve(values, least, most, profile, long), zero };
  };
  const all = [
    made("L*", "lightness", column(profile.lab, 0), false), made("a*", "green to red", column(profile.lab, 1), true), made("b*", "blue to yellow", column(profile.lab, 2), true),
  ];
  return profile.uv ? [...all, made("UV", "lightness of the UV picture", column(profile.uv, 0), false)] : all;
}

/** Where a place along the path stands in the drawing. @param {number} far @param {number} long */
export function placeOf(far, long) {
  return long > 0 ? (far / long) * WIDE : 0;
}

/** A line's stroke by how sure its boundary is: the surer, the more solid. @param {number | null} confidence */
export function dashOf(confidence) {
  if (confidence === null || confidence >= 0.9) return "none";
  return confidence >= 0.7 ? "6 3" : "2 4";
}
