/** What was read along a line as a list, from the surface down: layers with colour and thickness, between them the boundaries as numbers. */

import { dashOf } from "../../model/pictures/profile.js";
import { colourTold, proper, surely, thickTold, uvTold } from "../../model/pictures/lines.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { stateOf } from "../parts/dom.js";
import { s } from "../parts/svg.js";

/** @typedef {import("../../model/pictures/types.js").ReadLayer} ReadLayer */
/** @typedef {import("./cutting.js").Cutting} Cutting */

/** @param {Cutting} cutting @param {(index: number) => void} lit told which layer is pointed at in the list */
export function proposalList(cutting, lit) {
  const element = h("ol", { class: "readlayers", "aria-label": "Layers read, from the surface down" });
  let drawn = "";

  function draw() {
    const { line, cuts, chosen } = cutting;
    const key = JSON.stringify([line.version, line.layers, cuts.all]);
    if (key !== drawn) {
      const at = [...element.querySelectorAll("input, button")].indexOf(/** @type {Element} */ (document.activeElement));
      drawn = key;
      refill(element, rows(cutting, lit));
      const all = [...element.querySelectorAll("input, button")];
      // Where the last layer was left out there are fewer: the last that is there has the focus then.
      const again = at < 0 ? null : (all[at] ?? all.at(-1));
      if (again instanceof HTMLElement) again.focus();
    }
    for (const one of element.children) {
      if (!(one instanceof HTMLElement)) continue;
      one.classList.toggle("pointed", Number(one.dataset["layer"] ?? 0) === cutting.lit && cutting.lit > 0);
      one.classList.toggle("chosen", one.dataset["cut"] === String(chosen));
    }
  }

  return { element, draw };
}

/** @param {Cutting} cutting @param {(index: number) => void} lit */
function rows(cutting, lit) {
  const { line, cuts } = cutting;
  const layers = proper(line);
  const current = layers.length === cuts.all.length - 1;
  const below = line.layers.find((one) => one.end !== "" && one.index === 0);
  const above = line.layers.find((one) => one.end !== "" && one.index > 0);
  const made = [];
  for (let at = cuts.all.length - 1; at >= 0; at -= 1) {
    made.push(cutRow(cutting, at, layers));
    if (at > 0) made.push(layerRow(cutting, at, (current ? layers[at - 1] : null) ?? null, lit));
  }
  return [above ? end(above) : null, ...made, below ? end(below) : null].filter((one) => one !== null);
}

/** @param {ReadLayer} one */
function end(one) {
  return h("li", { class: "end" }, one.end === "substrate" ? "Below: taken for the substrate" : "Above: taken for resin or air", one.lab ? `, L*a*b* ${one.lab.map((each) => Math.round(each)).join(", ")}` : "");
}

/** @param {Cutting} cutting @param {number} number @param {ReadLayer | null} layer @param {(index: number) => void} lit */
function layerRow(cutting, number, layer, lit) {
  const paint = h("span", { class: "paint", "aria-hidden": "true" });
  paint.style.backgroundColor = layer?.hex ?? "transparent";
  paint.classList.toggle("unknown", !layer?.hex);
  const uv = layer ? uvTold(layer) : "";
  const element = h("li", { "data-layer": number, onpointerenter: () => lit(number), onpointerleave: () => lit(0), onfocusin: () => lit(number) },
    h("span", { class: "position" }, number), paint,
    h("div", null, layer ? [
      h("p", null, h("strong", null, thickTold(layer)), " ", stateOf(surely(layer.confidence))),
      h("p", null, colourTold(layer, cutting.line.colour_calibrated)), uv !== "" && h("p", null, `UV ${uv}`),
      layer.boundary && h("p", { class: "hint" }, `${layer.boundary} below${layer.boundary_um === null ? "" : `, ${Number(layer.boundary_um.toPrecision(2))} µm broad`}`),
      layer.accepted && h("p", { class: "hint" }, layer.accepted_differs ? "In the record; changed here since." : "In the record."),
    ].flat() : h("p", null, "Being worked out …")),
    cutting.work.writes && button("Split", () => cutting.split(number), { class: "quiet", "aria-label": `Split layer ${number}` }));
  return element;
}

/** @param {Cutting} cutting @param {number} at @param {readonly ReadLayer[]} layers */
function cutRow(cutting, at, layers) {
  const { cuts } = cutting;
  const id = newId("cut");
  const [least, most] = cuts.limits(at);
  const input = h("input", { id, type: "number", step: 1, min: least, max: most, value: Math.round((cuts.all[at] ?? 0) * 10) / 10, readonly: !cutting.work.writes, onfocus: () => cutting.choose(at), onchange: () => {
    const value = Number(input.value);
    if (input.value !== "" && Number.isFinite(value) && value !== Number(input.defaultValue)) cutting.doneBy(() => cuts.put(at, value));
  } });
  const outer = at === 0 || at === cuts.all.length - 1;
  const above = layers[at];
  const mark = s("svg", { width: 26, height: 8, "aria-hidden": "true" }, s("path", { d: "M0 4H26", stroke: "currentColor", "stroke-width": 2, "stroke-dasharray": dashOf(above?.confidence ?? null) }));
  return h("li", { class: "cutrow", "data-cut": at }, mark, h("label", { for: id }, at === 0 ? "Foot of the lowest, px" : at === cuts.all.length - 1 ? "Surface, px" : `Boundary ${at + 1}, px`), input,
    cutting.work.writes && button(outer ? "Leave out" : "Merge", () => cutting.merge(at), { class: "quiet", "aria-label": outer ? `Leave out layer ${at === 0 ? 1 : at}` : `Merge layers ${at} and ${at + 1}` }));
}
