/** What a generation chart says, in words. */

import { count } from "../lib/words.js";

/** @typedef {import("./types.js").Chart} Chart */

/**
 * The cells of one generation (null: of none), by sample and position.
 * @param {Pick<Chart, "cells">} chart
 * @param {number | null} ordinal
 */
export function cellsOf(chart, ordinal) {
  return chart.cells.filter((cell) => cell.generation === ordinal);
}

/**
 * What the drawing shows, for who does not see it.
 * @param {Chart} chart
 */
export function describe(chart) {
  const unsure = chart.cells.filter((cell) => cell.confidence !== null && cell.confidence < 0.5).length;
  const told = `Generation chart of space ${chart.space}: ${count(chart.samples.length, "sample")} as columns, ${count(chart.generations.length, "generation")} as rows, oldest at the foot, ${count(chart.cells.length, "layer")}`;
  return `${told}${unsure ? `, ${unsure} of them placed with less than even confidence` : ""}. The same is told in words below.`;
}
