/** The details of one layer: what was seen, where it stands, and all that is known of why. */

import { path, withQuery } from "../../lib/paths.js";
import { uvWords } from "../../model/chart/marks.js";
import { stands, why } from "../../model/chart/why.js";
import { button, h, link } from "../parts/dom.js";
import { historyFold } from "../parts/history.js";
import { weights } from "./weights.js";

/** @typedef {import("../../model/types.js").Cell} Cell */
/** @typedef {import("../../model/types.js").Chart} Chart */
/** @typedef {import("../../model/types.js").Ruling} Ruling */

/** @param {string} code @param {Cell} cell @param {Chart} chart @param {readonly Ruling[]} rulings @param {AbortSignal} signal @param {() => void} close */
export function layerPanel(code, cell, chart, rulings, signal, close) {
  const sample = chart.samples.find((one) => one.sample === cell.sample);
  const facts = /** @type {[string, string][]} */ ([
    ["Stands in", stands(cell)],
    ["Kind", [cell.kind, cell.completeness === "present" ? "" : cell.completeness].filter(Boolean).join(", ")],
    ["Colour as found", [cell.colour, cell.munsell, cell.lab ? `L*a*b* ${cell.lab.map((part) => part.toFixed(0)).join(" ").replaceAll("-", "−")}` : ""].filter(Boolean).join(", ") || "not recorded"],
    ["UV", uvWords(cell) || "not observed"],
    ["Element", sample ? [sample.element, sample.class, sample.position].filter(Boolean).join(", ") : ""],
    ["Sample", sample ? `${sample.sample}; base ${sample.base_state || "not recorded"}, top ${sample.top_state || "not recorded"}` : cell.sample],
  ]);
  const heading = h("h3", { tabindex: -1 }, `Layer ${cell.layer}`);
  return { heading, element: h("div", null,
    h("p", { class: "close" }, button("Close", close, { class: "quiet" })), heading,
    swatch(cell),
    h("dl", { class: "told" }, facts.flatMap(([name, value]) => [h("dt", null, name), h("dd", null, value)])),
    h("h4", null, "Why this generation"),
    h("ul", { class: "said" }, why(cell, chart, rulings).map((one) => h("li", null, one))),
    weights(code, cell, chart, signal),
    historyFold({ code, signal, id: cell.layer_id }),
    h("p", null, link(path("projects", code, "registers", "layers", cell.layer_id), "Its record"), " ",
      link(withQuery(path("projects", code, "bench", cell.sample), { layer: cell.position }), "At the bench"))) };
}

/** @param {Cell} cell */
function swatch(cell) {
  const made = h("div", { class: `specimen${cell.srgb ? "" : " hatched"}${cell.srgb && !cell.in_gamut ? " beyond" : ""}` });
  if (cell.srgb) made.style.backgroundColor = cell.srgb;
  return made;
}
