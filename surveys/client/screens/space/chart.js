/** The chart of a space as a table, for who reads rather than looks. */

import { count } from "../../lib/words.js";
import { years } from "../../lib/words.js";
import { percent, placement } from "../../model/confidence.js";
import { cellsOf } from "../../model/chart.js";
import { h } from "../parts/dom.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/types.js").Chart} Chart */

/** @param {Chart} chart */
export function chartTable(chart) {
  if (chart.cells.length === 0) return null;
  const rows = [...chart.generations].reverse().map((generation) => [
    String(generation.ordinal), generation.label, years(generation.earliest, generation.latest),
    h("ul", { class: "cells" }, cellsOf(chart, generation.ordinal).map((cell) => h("li", null, told(cell)))),
  ]);
  const loose = cellsOf(chart, null);
  if (loose.length) rows.push(["none", "not placed", "", h("ul", { class: "cells" }, loose.map((cell) => h("li", null, told(cell))))]);
  return h("details", null, h("summary", null, `The same in words (${count(chart.cells.length, "layer")})`),
    table(`Layers of space ${chart.space} by generation, newest first`, ["Generation", "Label", "Years", "Layers"], rows));
}

/** @param {import("../../model/types.js").Cell} cell */
function told(cell) {
  const parts = [cell.kind, cell.colour, cell.munsell, cell.completeness === "present" ? "" : cell.completeness].filter(Boolean);
  const sure = cell.held ? "held by a ruling" : cell.generation === null ? "" : `${placement(cell.confidence)}, ${percent(cell.confidence)}`;
  const other = cell.runner_up !== null && (cell.confidence ?? 1) < 0.8 ? `, otherwise generation ${cell.runner_up}` : "";
  return `${cell.layer}: ${parts.join(", ")}${sure ? ` (${sure}${other})` : ""}`;
}
