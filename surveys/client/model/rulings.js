/** Rulings, and layers as people write them: WH003/7. */

/** @typedef {import("./types.js").Ruling} Ruling */
/** @typedef {import("./types.js").Chart} Chart */

/**
 * A layer's name in its one form, or '' where the text names none.
 * @param {string} text
 */
export function layerName(text) {
  const found = /^\s*(\S(?:.*\S)?)\s*\/\s*0*([1-9][0-9]*)\s*$/.exec(text);
  return found ? `${found[1]}/${found[2]}` : "";
}

/**
 * The layer of a chart that a text names; a sentence where there is none.
 * @param {Pick<Chart, "cells" | "space">} chart
 * @param {string} text
 * @returns {{ id: string, fault: string }}
 */
export function findLayer(chart, text) {
  const name = layerName(text);
  if (!text.trim()) return { id: "", fault: "This is needed." };
  if (!name) return { id: "", fault: "Write a layer as sample/position, as in WH003/7." };
  const cell = chart.cells.find((one) => one.layer.toLowerCase() === name.toLowerCase());
  if (cell) return { id: cell.layer_id, fault: "" };
  const sample = name.slice(0, name.lastIndexOf("/"));
  const highest = Math.max(0, ...chart.cells.filter((one) => one.sample.toLowerCase() === sample.toLowerCase()).map((one) => one.position));
  const fault = highest
    ? `Sample ${sample} has layers 1 to ${highest} only.`
    : `Space ${chart.space} has no sample ${sample} with layers. Rulings stay within one space.`;
  return { id: "", fault };
}

/** @param {Ruling} ruling */
export function sentence(ruling) {
  if (ruling.kind === "hold") return `${ruling.first_layer_name} belongs to generation ${ruling.generation_ordinal ?? "?"}`;
  const said = ruling.kind === "tie" ? "are of one campaign" : "are not of one campaign";
  return `${ruling.first_layer_name} and ${ruling.second_layer_name ?? "?"} ${said}`;
}
