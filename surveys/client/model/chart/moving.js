/** Going about in a chart by keys: from layer to layer, from cell to cell, to the next one that holds something. */

import { layersAt } from "./layout.js";

/** @typedef {import("./layout.js").Layout} Layout */
/** @typedef {import("./layout.js").Place} Place */

const PAGE = 5;
export const HEAD = -1;

/** Where one begins: at the oldest layer of the first sample. @param {Layout} made @returns {Place} */
export function start(made) {
  return { row: Math.max(0, made.rows.length - 1), column: 0, at: 0 };
}

/**
 * Where a key leads; null where it is none of moving.
 * @param {Layout} made
 * @param {Place} place
 * @param {string} key
 * @param {boolean} far with Ctrl or ⌘
 * @returns {Place | null}
 */
export function moved(made, place, key, far) {
  const [rows, columns] = [made.rows.length, made.columns.length];
  switch (key) {
    case "ArrowUp": return far ? jump(made, place, -1, 0) : upOrDown(made, place, 1);
    case "ArrowDown": return far ? jump(made, place, 1, 0) : upOrDown(made, place, -1);
    case "ArrowLeft": return far ? jump(made, place, 0, -1) : settled(made, { ...place, column: place.column - 1 });
    case "ArrowRight": return far ? jump(made, place, 0, 1) : settled(made, { ...place, column: place.column + 1 });
    case "Home": return settled(made, { row: far ? 0 : place.row, column: far ? 0 : HEAD, at: 0 });
    case "End": return settled(made, { row: far ? rows - 1 : place.row, column: columns - 1, at: 0 });
    case "PageUp": return settled(made, { ...place, row: place.row - PAGE });
    case "PageDown": return settled(made, { ...place, row: place.row + PAGE });
    default: return null;
  }
}

/** A place within the chart, at a layer that is there. @param {Layout} made @param {Place} place @returns {Place} */
export function settled(made, place) {
  const row = Math.min(made.rows.length - 1, Math.max(0, place.row));
  const column = Math.min(made.columns.length - 1, Math.max(HEAD, place.column));
  const many = layersAt(made, row, column).length;
  return { row, column, at: Math.min(Math.max(0, many - 1), Math.max(0, place.at)) };
}

/** To the layer above or below, in the same cell first. @param {Layout} made @param {Place} place @param {1 | -1} step 1 is upwards */
function upOrDown(made, place, step) {
  const at = place.at + step;
  if (at >= 0 && at < layersAt(made, place.row, place.column).length) return { ...place, at };
  const row = place.row - step;
  if (row < 0 || row >= made.rows.length) return place;
  return settled(made, { row, column: place.column, at: step === 1 ? 0 : Infinity });
}

/** To the next cell that holds a layer; to the edge where there is none. @param {Layout} made @param {Place} place @param {number} down @param {number} right */
function jump(made, place, down, right) {
  let { row, column } = place;
  for (;;) {
    const next = settled(made, { row: row + down, column: Math.max(right ? 0 : HEAD, column + right), at: 0 });
    if (next.row === row && next.column === column) return next;
    ({ row, column } = next);
    if (layersAt(made, row, column).length > 0) return next;
  }
}
