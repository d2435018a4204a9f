/** One element with what it showed: swatch, words, numbers, what it rests on, and what it may have been otherwise. */

import { path } from "../../lib/paths.js";
import * as model from "../../model/as_of.js";
import { percent, placement } from "../../model/confidence.js";
import { h, link } from "../parts/dom.js";
import { s } from "../parts/svg.js";

/** @param {string} code @param {model.Shown} one */
export function elementItem(code, one) {
  const first = one.in_force;
  const finish = first?.finish ?? null;
  return h("li", { class: "asofitem", "data-element": one.element },
    swatch(finish?.colour ?? null),
    h("div", { class: "said" },
      h("h3", null, link(path("projects", code, "registers", "elements", one.element_id), `${one.element_class} ${one.element}`), one.position && h("span", { class: "by" }, ` ${one.position}`)),
      h("p", null, one.sentence),
      one.doubts.length > 0 && h("ul", { class: "asofdoubts" }, one.doubts.map((doubt) => h("li", null, h("span", { class: "mark", "aria-hidden": "true" }, "▲"), h("span", null, doubt)))),
      one.alternatives.length > 0 && h("details", null, h("summary", null, `Otherwise (${one.alternatives.length})`), h("ul", { class: "others" }, one.alternatives.map(other)))),
    first && finish && h("dl", { class: "told facts" }, facts(code, one, first, finish)));
}

/** @param {model.Candidate} one */
function other(one) {
  return h("li", null, swatch(one.finish?.colour ?? null, true), h("span", null, model.candidateInWords(one), one.finish && `: ${model.colourInWords(one.finish.colour)}`));
}

/** @param {string} code @param {model.Shown} one @param {model.Candidate} first @param {model.Finish} finish */
function facts(code, one, first, finish) {
  const { colour } = finish;
  /** @type {[string, import("../parts/dom.js").Child | import("../parts/dom.js").Child[]][]} */
  const rows = [
    ["How surely", model.surelyInWords(one)],
    ["Generation", link(path("projects", code, "spaces", one.space), model.candidateInWords({ ...first, probability: null }))],
    ["Notation", colour ? [model.colourInWords(colour), colour.in_gamut ? null : " (not on a screen)"] : "none"],
    ["Lab (D65, 2°)", model.labInWords(colour) || "none"],
    ["First applied as", colour?.first_colour || null],
    ["Readings", colour && colour.readings > 0 ? colour.readings === 1 ? "1" : `${colour.readings}, up to ${colour.spread.toFixed(1)} ΔE00 apart` : null],
    ["Finish", model.layersInWords(finish) || "nothing left"],
    ["Technique", finish.recorded_technique || null],
    ["Leaf", finish.leaf || null],
    ["Sheen", finish.sheen || null],
    ["Substrate", one.substrate || null],
    ["Placed", finish.confidence === null ? null : `${placement(finish.confidence)} (${percent(finish.confidence)})`],
    ["Rests on", finish.samples.flatMap((sample, index) => [index > 0 ? ", " : null, link(path("projects", code, "bench", sample.number), sample.number)])],
  ];
  return rows.filter(([, value]) => value !== null).flatMap(([name, value]) => [h("dt", null, name), h("dd", null, ...(Array.isArray(value) ? value : [value]))]);
}

/** A patch of the colour; crossed out where there is none. The words beside it say the same. @param {model.Colour | null} colour @param {boolean} [small] */
function swatch(colour, small = false) {
  const size = small ? 22 : 64;
  const box = { x: 0.5, y: 0.5, width: size - 1, height: size - 1 };
  const patch = colour?.srgb ? s("rect", { ...box, fill: colour.srgb, class: "edge" }) : s("g", { class: "none" }, s("rect", box), s("line", { x1: 1, y1: size - 1, x2: size - 1, y2: 1 }));
  return s("svg", { class: "patch", width: size, height: size, viewBox: `0 0 ${size} ${size}`, "aria-hidden": "true", focusable: "false" },
    patch, colour && !colour.in_gamut && s("path", { class: "out", d: `M${size - 12} 0H${size}V12Z` }));
}
