/** Where things stand in a chart: columns are samples, grouped by element class; rows are generations, the oldest at the foot. */

/** @typedef {import("../types.js").Cell} Cell */
/** @typedef {import("../types.js").ChartSample} ChartSample */
/** @typedef {import("../types.js").Generation} Generation */
/** @typedef {import("../types.js").Chart} Chart */

/**
 * A row: of a generation, or (null) of the layers that stand in none.
 * @typedef {{ generation: Generation | null, ordinal: number | null, deepest: number }} Row
 * @typedef {{ name: string, from: number, count: number }} Group
 * @typedef {{ row: number, column: number, at: number }} Place row -1 is no row; column -1 is the head of the row; `at` counts layers of a cell from below
 * @typedef {{ columns: ChartSample[], groups: Group[], rows: Row[], cells: Map<string, Cell[]>, places: Map<string, Place> }} Layout
 */

const NONE = /** @type {readonly Cell[]} */ ([]);

/** @param {Pick<Chart, "generations" | "samples" | "cells">} chart @returns {Layout} */
export function layout(chart) {
  const generations = [...chart.generations].sort((one, other) => other.ordinal - one.ordinal);
  const loose = chart.cells.some((cell) => cell.generation === null);
  /** @type {Row[]} */
  const rows = generations.map((generation) => ({ generation, ordinal: generation.ordinal, deepest: 0 }));
  if (loose) rows.unshift({ generation: null, ordinal: null, deepest: 0 });
  const rowOf = new Map(rows.map((row, index) => [row.ordinal, index]));
  const columnOf = new Map(chart.samples.map((sample, index) => [sample.sample, index]));
  /** @type {Map<string, Cell[]>} */
  const cells = new Map();
  for (const cell of [...chart.cells].sort((one, other) => one.position - other.position)) {
    const [row, column] = [rowOf.get(cell.generation), columnOf.get(cell.sample)];
    if (row === undefined || column === undefined) continue;
    const key = keyOf(row, column);
    const there = cells.get(key);
    if (there) there.push(cell);
    else cells.set(key, [cell]);
  }
  /** @type {Map<string, Place>} */
  const places = new Map();
  for (const [key, there] of cells) {
    const [row = 0, column = 0] = key.split(":").map(Number);
    const found = rows[row];
    if (found) found.deepest = Math.max(found.deepest, there.length);
    for (const [at, cell] of there.entries()) places.set(cell.layer_id, { row, column, at });
  }
  return { columns: chart.samples, groups: groups(chart.samples), rows, cells, places };
}

/** @param {number} row @param {number} column */
export function keyOf(row, column) {
  return `${row}:${column}`;
}

/** The layers of a cell, from below. @param {Pick<Layout, "cells">} made @param {number} row @param {number} column */
export function layersAt(made, row, column) {
  return made.cells.get(keyOf(row, column)) ?? NONE;
}

/** The layer at a place, if one is there. @param {Pick<Layout, "cells">} made @param {Place} place */
export function layerAt(made, place) {
  return layersAt(made, place.row, place.column)[place.at] ?? null;
}

/** Neighbouring columns of one element class. @param {readonly ChartSample[]} samples @returns {Group[]} */
function groups(samples) {
  /** @type {Group[]} */
  const found = [];
  for (const [index, sample] of samples.entries()) {
    const last = found[found.length - 1];
    if (last && last.name === sample.class) last.count += 1;
    else found.push({ name: sample.class, from: index, count: 1 });
  }
  return found;
}

/** @typedef {"small" | "usual" | "large"} Zoom */

/** Sizes in px; `small` shows the swatches without their text. */
export const SIZES = /** @type {const} */ ({
  small: { font: 12, column: 46, chip: 24, pad: 4, empty: 26, head: 150, heads: 92 },
  usual: { font: 13, column: 152, chip: 54, pad: 7, empty: 68, head: 190, heads: 84 },
  large: { font: 18, column: 211, chip: 76, pad: 10, empty: 96, head: 260, heads: 116 },
});

/** @param {string | null} text @returns {Zoom} */
export function zoomOf(text) {
  return text === "small" || text === "large" ? text : "usual";
}

/** The heights of the rows. @param {readonly Row[]} rows @param {Zoom} zoom */
export function heights(rows, zoom) {
  const size = SIZES[zoom];
  return rows.map((row) => Math.max(size.empty, row.deepest * size.chip + 2 * size.pad));
}
