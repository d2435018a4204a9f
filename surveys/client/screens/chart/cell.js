/** How a layer, an empty cell and the head of a row look. Marks are those of the drawn chart; nothing is told by hue alone. */

import { years } from "../../lib/words.js";
import { mark } from "../../model/chart/foretold.js";
import { UV_BARS, doubt, isWeak, legibleOn, outline, share, uvWords, written } from "../../model/chart/marks.js";
import { heard } from "../../model/chart/why.js";
import { openThreads } from "../../model/talk.js";
import { h } from "../parts/dom.js";
import { talkMark } from "../parts/talking.js";

/** @typedef {import("../../model/types.js").Cell} Cell */
/** @typedef {import("../../model/chart/layout.js").Row} Row */
/** @typedef {import("../../model/chart/foretold.js").Change} Change */

/**
 * What is to be shown on a layer besides what the record says.
 * @typedef {{ chosen: boolean, proposed: string, change: Change | null, writes: boolean, opened: boolean, talk: number }} Extra
 */

/** @param {Cell} cell @param {Extra} extra @param {boolean} words whether there is room for words */
export function chip(cell, extra, words) {
  const role = extra.writes ? { role: "checkbox", "aria-checked": String(extra.chosen) } : { role: "button" };
  return h("div", { class: `chip${extra.chosen ? " chosen" : ""}${extra.change ? " moving" : ""}${extra.opened ? " opened" : ""}`, tabindex: -1, ...role,
    "data-layer": cell.layer_id, "aria-label": said(cell, extra) },
    swatch(cell, extra, words), (words || extra.change) && h("div", { class: "marks" }, words ? beside(cell, extra) : moving(extra)));
}

/** @param {Cell} cell @param {Extra} extra */
function said(cell, extra) {
  const more = [extra.proposed && `proposed: ${extra.proposed}`, extra.change && `would move ${extra.change.to === null ? "to a new generation" : `to generation ${extra.change.to}`}`,
    extra.talk > 0 && openThreads(extra.talk)];
  return [heard(cell), ...more].filter(Boolean).join("; ");
}

/** @param {Cell} cell @param {Extra} extra @param {boolean} words */
function swatch(cell, extra, words) {
  const paint = h("div", { class: `paint${cell.srgb ? "" : " hatched"}${cell.srgb && !cell.in_gamut ? " beyond" : ""}` },
    words && written(cell).map((line, index) => h("span", { class: index === 0 ? "notation" : null }, line)));
  if (cell.srgb) {
    paint.style.backgroundColor = cell.srgb;
    paint.style.color = legibleOn(cell.srgb);
  }
  return h("div", { class: `plate ${outline(cell) || "plain"}` }, paint, extra.chosen && h("span", { class: "tick" }, "✓"), talkMark(extra.talk));
}

/** @param {Cell} cell @param {Extra} extra */
function beside(cell, extra) {
  // There is room for three lines.
  const uv = uvWords(cell) && !(extra.change && extra.proposed) && h("span", { class: "line uvline", title: uvWords(cell) }, uvBars(cell.uv_strength), cell.uv_colour || cell.uv_strength);
  const sure = [cell.held ? "■ held" : "", doubt(cell)].filter(Boolean).join(" ");
  return [uv, sure && h("span", { class: "line sure" }, sure), extra.proposed && h("span", { class: "line proposed" }, extra.proposed),
    moving(extra)];
}

/** @param {Extra} extra */
function moving(extra) {
  return extra.change && h("strong", { class: "line to" }, mark(extra.change));
}

/** One to three standing bars; a hollow one for a response that was looked for and absent. @param {string} strength */
export function uvBars(strength) {
  const many = UV_BARS[strength];
  if (many === undefined) return null;
  const bars = many === 0 ? [h("i", { class: "hollow" })] : Array.from({ length: many }, () => h("i"));
  return h("span", { class: "uv", "aria-hidden": "true" }, bars);
}

/** The head of a row: number, label, years, phase, and how it stands to the row below. @param {Row} row @param {boolean} opened @param {number} talk open threads on it */
export function rowHead(row, opened, talk) {
  const { generation } = row;
  if (!generation) return h("div", { class: "head rowhead", role: "rowheader", tabindex: -1, "aria-colindex": 1 }, h("strong", null, "Not placed"), h("span", null, "in no generation"));
  const bounds = years(generation.earliest, generation.latest);
  return h("div", { class: `head rowhead${opened ? " opened" : ""}`, role: "rowheader", tabindex: -1, "aria-colindex": 1 },
    h("span", { class: "first" }, h("strong", { class: "ordinal" }, String(generation.ordinal)), " ", h("span", { class: "label" }, generation.label), talkMark(talk)),
    h("span", null, bounds || "not dated"), generation.phase && h("span", null, generation.phase),
    isWeak(generation.distinctness) && generation.distinctness !== null
      && h("span", { class: "joint", title: `How surely it is another campaign than generation ${generation.ordinal - 1}` }, `${share(generation.distinctness)} two campaigns`));
}
