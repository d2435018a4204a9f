/** Points, paths and maps of the plane. A point is [x, y]; y grows downwards, as in a picture; a matrix is three rows of three. */

/** @typedef {readonly [x: number, y: number]} Point */
/** @typedef {readonly (readonly number[])[]} Matrix */

/** @type {Matrix} */
export const SAME = [[1, 0, 0], [0, 1, 0], [0, 0, 1]];

/** @param {Matrix} matrix @param {number} row @param {number} column */
function at(matrix, row, column) {
  return matrix[row]?.[column] ?? 0;
}

/** Where a map takes a point. @param {Matrix} matrix @param {Point} point @returns {Point} */
export function moved(matrix, [x, y]) {
  const row = (/** @type {number} */ which) => at(matrix, which, 0) * x + at(matrix, which, 1) * y + at(matrix, which, 2);
  const weight = row(2) || 1;
  return [row(0) / weight, row(1) / weight];
}

/** The map back; null where there is none. @param {Matrix} m @returns {Matrix | null} */
export function inverse(m) {
  const minor = (/** @type {number} */ r, /** @type {number} */ c) => {
    const [r1 = 0, r2 = 0] = [0, 1, 2].filter((one) => one !== r);
    const [c1 = 0, c2 = 0] = [0, 1, 2].filter((one) => one !== c);
    return (at(m, r1, c1) * at(m, r2, c2) - at(m, r1, c2) * at(m, r2, c1)) * ((r + c) % 2 === 0 ? 1 : -1);
  };
  const whole = at(m, 0, 0) * minor(0, 0) + at(m, 0, 1) * minor(0, 1) + at(m, 0, 2) * minor(0, 2);
  if (!Number.isFinite(whole) || Math.abs(whole) < 1e-12) return null;
  return [0, 1, 2].map((row) => [0, 1, 2].map((column) => minor(column, row) / whole));
}

/** @param {Point} first @param {Point} second */
export function distance([x, y], [u, v]) {
  return Math.hypot(u - x, v - y);
}

/** @param {readonly Point[]} path */
export function length(path) {
  return path.slice(1).reduce((sum, point, index) => sum + distance(path[index] ?? point, point), 0);
}

/** The legs of a path that have a length, each with where it begins along the path. @param {readonly Point[]} path */
function legs(path) {
  const found = [];
  let before = 0;
  for (const [index, to] of path.slice(1).entries()) {
    const from = path[index] ?? to;
    const long = distance(from, to);
    if (long > 0) found.push({ from, to, long, before, way: /** @type {Point} */ ([(to[0] - from[0]) / long, (to[1] - from[1]) / long]) });
    before += long;
  }
  return found;
}

/** The point so far along a path, and the direction there; beyond an end, straight on. @param {readonly Point[]} path @param {number} far @returns {{ point: Point, way: Point }} */
export function along(path, far) {
  const all = legs(path);
  const leg = all.find((one) => far <= one.before + one.long) ?? all.at(-1);
  if (!leg) return { point: path[0] ?? [0, 0], way: [1, 0] };
  const on = far - leg.before;
  return { point: [leg.from[0] + leg.way[0] * on, leg.from[1] + leg.way[1] * on], way: leg.way };
}

/** How far along a path, and how far off it, a point lies. @param {readonly Point[]} path @param {Point} point @returns {{ far: number, off: number }} */
export function nearest(path, point) {
  let best = { far: 0, off: path[0] ? distance(path[0], point) : Infinity };
  for (const { from, way, long, before } of legs(path)) {
    const on = Math.min(long, Math.max(0, (point[0] - from[0]) * way[0] + (point[1] - from[1]) * way[1]));
    const off = distance([from[0] + way[0] * on, from[1] + way[1] * on], point);
    if (off < best.off) best = { far: before + on, off };
  }
  return best;
}

/** The outline of a strip of a width along a part of a path. @param {readonly Point[]} path @param {number} from @param {number} to @param {number} width @returns {Point[]} */
export function strip(path, from, to, width) {
  const half = width / 2;
  const corners = legs(path).map((one) => one.before).filter((far) => far > from && far < to);
  const stations = [from, ...corners, to].map((far) => along(path, far));
  const side = (/** @type {1 | -1} */ sign) => stations.map(({ point, way }) => /** @type {Point} */ ([point[0] - way[1] * half * sign, point[1] + way[0] * half * sign]));
  return [...side(1), ...side(-1).reverse()];
}

/** The line across a path at a place. @param {readonly Point[]} path @param {number} far @param {number} width @returns {[Point, Point]} */
export function across(path, far, width) {
  const { point, way } = along(path, far);
  const half = width / 2;
  return [[point[0] - way[1] * half, point[1] + way[0] * half], [point[0] + way[1] * half, point[1] - way[0] * half]];
}
