/** The cells of a generation chart. */

/** @typedef {import("./types.js").Chart} Chart */

/**
 * The cells of one generation (null: of none), by sample and position.
 * @param {Pick<Chart, "cells">} chart
 * @param {number | null} ordinal
 */
export function cellsOf(chart, ordinal) {
  return chart.cells.filter((cell) => cell.generation === ordinal);
}
