/** The chart of a space: as a drawing, and as a table for who does not see drawings. */

import { count } from "../../lib/words.js";
import { years } from "../../lib/words.js";
import { percent, placement } from "../../model/confidence.js";
import { cellsOf, describe } from "../../model/chart.js";
import { drawing } from "../../api/work.js";
import { h, link, refill } from "../parts/dom.js";
import { refusals } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/types.js").Chart} Chart */
/** @typedef {import("../parts/visit.js").Visit} Visit */

const SIZES = /** @type {const} */ ([["fit", "whole width", "fit"], ["100", "100 %", "whole"], ["200", "200 %", "double"]]);

/** @param {Visit} visit @param {string} code @param {Chart} chart */
export function chartPicture(visit, code, chart) {
  if (chart.cells.length === 0) return h("p", { class: "empty" }, "There are no layers in this space yet, so there is nothing to draw.");
  const size = SIZES.find(([value]) => value === visit.query.get("zoom")) ?? SIZES[1];
  const frame = h("div", { class: `chartframe ${size[2]}`, tabindex: 0, role: "region", "aria-label": "Drawn chart; scroll it with the arrow keys" },
    h("p", null, "Drawing …"));
  const problem = refusals();
  drawing(code, chart.space_id, visit.signal).then((url) => {
    visit.signal.addEventListener("abort", () => URL.revokeObjectURL(url), { once: true });
    refill(frame, h("img", { src: url, alt: describe(chart) }));
  }, (error) => {
    refill(frame);
    problem.show(error);
  });
  const zooms = SIZES.flatMap(([value, word]) => {
    const made = link(`?zoom=${value}`, word);
    if (value === size[0]) made.setAttribute("aria-current", "true");
    return [made, " "];
  });
  return h("div", null, h("p", { class: "zoom", role: "group", "aria-label": "Size of the chart" }, "Size: ", zooms), frame, problem.place);
}

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
