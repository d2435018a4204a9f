/** The colour target in a picture: where its patches lie, from the few places that a person points at. */

/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {import("./types.js").Target} Target */

/** How much of the way from one patch to the next is taken: the edges of patches are seldom clean. */
const SHARE = 0.5;

/** Rows and columns of a target. @param {Pick<Target, "patches">} target */
export function grid({ patches }) {
  const many = patches.length;
  if (many === 24) return { rows: 4, columns: 6 };
  return { rows: 1, columns: many };
}

/** What is to be pointed at, in order. @param {Pick<Target, "patches">} target @returns {string[]} */
export function asked(target) {
  const { rows, columns } = grid(target);
  const name = (/** @type {number} */ at) => target.patches[at]?.name ?? `patch ${at + 1}`;
  if (rows * columns === 1) return ["the upper left corner of a clean part of the target", "its lower right corner"];
  if (rows === 1) return [`the middle of ${name(0)}, the first patch`, `the middle of ${name(columns - 1)}, the last patch`];
  return [
    `the middle of ${name(0)}, the first patch of the first row`, `the middle of ${name(columns - 1)}, the last patch of the first row`,
    `the middle of ${name(rows * columns - 1)}, the last patch of the last row`, `the middle of ${name((rows - 1) * columns)}, the first patch of the last row`,
  ];
}

/**
 * The boxes that are read, one a patch, once all was pointed at; none before.
 * @param {Pick<Target, "patches">} target @param {readonly Point[]} points @returns {[number, number, number, number][]}
 */
export function boxes(target, points) {
  const { rows, columns } = grid(target);
  if (points.length < asked(target).length) return [];
  const [a, b, c, d] = /** @type {[Point, Point, Point, Point]} */ (points);
  if (rows * columns === 1) return [[Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.abs(b[0] - a[0]), Math.abs(b[1] - a[1])]];
  const middle = (/** @type {number} */ row, /** @type {number} */ column) => {
    const [u, v] = [columns > 1 ? column / (columns - 1) : 0, rows > 1 ? row / (rows - 1) : 0];
    const mixed = (/** @type {0 | 1} */ axis) => (rows === 1 ? a[axis] + (b[axis] - a[axis]) * u
      : a[axis] * (1 - u) * (1 - v) + b[axis] * u * (1 - v) + c[axis] * u * v + d[axis] * (1 - u) * v);
    return /** @type {Point} */ ([mixed(0), mixed(1)]);
  };
  const between = (/** @type {Point} */ from, /** @type {Point} */ to, /** @type {number} */ steps) => Math.hypot(to[0] - from[0], to[1] - from[1]) / steps;
  const spacing = rows === 1 ? between(a, b, columns - 1) : Math.min(between(a, b, columns - 1), between(d, c, columns - 1), between(a, d, rows - 1), between(b, c, rows - 1));
  const side = spacing * SHARE;
  return Array.from({ length: rows * columns }, (_, at) => {
    const [x, y] = middle(Math.floor(at / columns), at % columns);
    return /** @type {[number, number, number, number]} */ ([x - side / 2, y - side / 2, side, side].map((one) => Math.round(one * 10) / 10));
  });
}

/** What is wrong with the boxes, blank if nothing is. @param {readonly (readonly [number, number, number, number])[]} found @param {{ width: number | null, height: number | null }} picture */
export function wrong(found, { width, height }) {
  if (found.length === 0) return "Not all was pointed at yet.";
  if (found.some(([, , w, h]) => w < 4 || h < 4)) return "The patches are smaller than 4 px: too few to be read.";
  if (width && height && found.some(([x, y, w, h]) => x < 0 || y < 0 || x + w > width || y + h > height)) return "A patch would lie outside the picture.";
  return "";
}

/** What is left over, in words. @param {number | null | undefined} mean a mean ΔE00 */
export function leftOver(mean) {
  if (mean === null || mean === undefined) return "";
  // About 1 is as little as a trained eye tells apart under good conditions (common practice).
  if (mean <= 1) return "about as little as an eye can tell apart";
  if (mean <= 3) return "little: fit for naming and comparing colours";
  return mean <= 6 ? "more than one would like: compare within this picture only" : "much: the light was uneven or the target is not this one";
}
