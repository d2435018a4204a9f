/** How one picture is laid over another: what a registration says, as turning, sizing and moving, and what that leaves over. */

import { SAME, distance, inverse, moved } from "../../lib/plane.js";

/** @typedef {import("../../lib/plane.js").Matrix} Matrix */
/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {{ width: number, height: number }} Size */
/**
 * @typedef {object} Placement
 * @property {number} x of the upper left corner before turning, in widths of the fixed picture
 * @property {number} y
 * @property {number} width in widths of the fixed picture
 * @property {number} degrees turned about the middle, clockwise
 * @property {number} left_over the farthest, in px of the fixed picture, that a corner is shown from where the registration puts it
 */

/**
 * The turning, sizing and moving that comes nearest to a registration; null for one that mirrors or flattens.
 * @param {Matrix} matrix from px of the moving to px of the fixed picture @param {Size} moving @param {Size} fixed @returns {Placement | null}
 */
export function placement(matrix, moving, fixed) {
  const centre = /** @type {Point} */ ([moving.width / 2, moving.height / 2]);
  const to = moved(matrix, centre);
  const [right, down] = [moved(matrix, [centre[0] + 1, centre[1]]), moved(matrix, [centre[0], centre[1] + 1])];
  const [a, b, c, d] = [right[0] - to[0], right[1] - to[1], down[0] - to[0], down[1] - to[1]];
  if (a * d - b * c <= 1e-9) return null;
  // The similarity nearest to [[a, c], [b, d]] in the sense of least squares.
  const [cosine, sine] = [(a + d) / 2, (b - c) / 2];
  const size = Math.hypot(cosine, sine);
  const corners = /** @type {Point[]} */ ([[0, 0], [moving.width, 0], [0, moving.height], [moving.width, moving.height]]);
  const shown = ([x, y] = /** @type {Point} */ ([0, 0])) => /** @type {Point} */ ([
    to[0] + cosine * (x - centre[0]) - sine * (y - centre[1]), to[1] + sine * (x - centre[0]) + cosine * (y - centre[1]),
  ]);
  return {
    x: (to[0] - (size * moving.width) / 2) / fixed.width, y: (to[1] - (size * moving.height) / 2) / fixed.width, width: (size * moving.width) / fixed.width,
    degrees: (Math.atan2(sine, cosine) * 180) / Math.PI, left_over: Math.max(...corners.map((one) => distance(moved(matrix, one), shown(one)))),
  };
}

/** From px of one picture to px of another by the registrations there are, in either direction; null if none joins them. @param {readonly import("./types.js").Registration[]} all @param {string} from @param {string} to @returns {Matrix | null} */
export function between(all, from, to) {
  if (from === to) return SAME;
  const straight = all.find((one) => one.moving === from && one.fixed === to);
  if (straight) return straight.matrix;
  const back = all.find((one) => one.moving === to && one.fixed === from);
  return back ? inverse(back.matrix) : null;
}

/** The registration that joins two pictures. @param {readonly import("./types.js").Registration[]} all @param {string} first @param {string} second */
export function joining(all, first, second) {
  return all.find((one) => (one.moving === first && one.fixed === second) || (one.moving === second && one.fixed === first)) ?? null;
}

/** How far each named pair lies from where the registration puts it, in px of the fixed picture. @param {Pick<import("./types.js").Registration, "matrix" | "points">} one */
export function pairsOff({ matrix, points }) {
  return points.map(([moving, fixed]) => distance(moved(matrix, moving), fixed));
}

/** What so many pairs are worth. @param {number} many */
export function pairsTold(many) {
  if (many < 3) return `${many} of at least 3 pairs.`;
  return many === 3 ? "3 pairs: they just fix it, and nothing checks them. Name a fourth." : `${many} pairs. More, and farther apart, are surer.`;
}

const SEEN = 1;

/** What is to be said of how well one lies on the other. @param {Pick<import("./types.js").Registration, "method" | "residual_px" | "points" | "inliers" | "caution">} one @param {Placement | null} shown */
export function registrationTold(one, shown) {
  const how = { features: "by features found in both", "phase correlation": "by phase correlation", points: `by ${one.points.length} pairs of points that a person named` }[one.method] ?? one.method;
  const left = `${Number(one.residual_px.toPrecision(2))} px left over`;
  const more = !shown ? " It mirrors the picture, which cannot be shown here: the two stand side by side."
    : shown.left_over > SEEN ? ` It also shears or stretches; that is not shown here, so corners lie up to ${Number(shown.left_over.toPrecision(2))} px off. Readings use all of it.` : "";
  return `Registered ${how}, ${left}.${one.caution ? ` It cannot be relied on, so UV is not read along with lines. ${one.caution}` : ""}${more}`;
}
