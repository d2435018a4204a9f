/** The heads of the columns: element classes above, samples beneath. */

import { SIZES } from "../../model/chart/layout.js";
import { h } from "../parts/dom.js";

/** @typedef {import("../../model/chart/layout.js").Layout} Layout */
/** @typedef {import("../../model/chart/layout.js").Zoom} Zoom */

/** @param {Layout} made @param {Zoom} zoom @param {readonly number[]} starts */
export function classesLine(made, zoom, starts) {
  const size = SIZES[zoom];
  const classes = made.groups.map((group) => {
    const name = h("span", null, group.name);
    // The name stays in sight as long as a column of its class does.
    name.style.left = `${size.head + 6}px`;
    return placed(h("div", { class: "head group", role: "columnheader", "aria-colindex": group.from + 2, "aria-colspan": group.count }, name), zoom, starts, group.from, group.count);
  });
  return h("div", { class: "headrow classes", role: "row", "aria-rowindex": 1 }, corner(zoom, h("span", { class: "hidden" }, "Element class")), classes);
}

/** @param {Zoom} zoom */
export function namesLine(zoom) {
  return h("div", { class: "headrow names", role: "row", "aria-rowindex": 2 }, corner(zoom, h("span", null, "Generation, newest above")));
}

/** @param {Layout} made @param {number} index @param {Zoom} zoom @param {readonly number[]} starts */
export function sampleHead(made, index, zoom, starts) {
  const sample = made.columns[index];
  if (!sample) return null;
  const begins = made.groups.some((group) => group.from === index);
  const ends = [told("base", sample.base_state), told("top", sample.top_state)].filter(Boolean).join(", ");
  const title = [sample.element, sample.position, ends].filter(Boolean).join("; ");
  return placed(h("div", { class: `head sample${begins ? " begins" : ""}`, role: "columnheader", "aria-colindex": index + 2, title },
    h("strong", null, sample.sample), h("span", null, sample.element), h("span", { class: "ends" }, ends)), zoom, starts, index, 1);
}

/** An end of a sample that is not whole. @param {string} end @param {string} state */
function told(end, state) {
  return state && state !== "complete" ? `${end} ${state}` : "";
}

/** @param {Zoom} zoom @param {HTMLElement} content */
function corner(zoom, content) {
  const made = h("div", { class: "head corner", role: "columnheader", "aria-colindex": 1 }, content);
  made.style.width = `${SIZES[zoom].head}px`;
  return made;
}

/** @param {HTMLElement} one @param {Zoom} zoom @param {readonly number[]} starts @param {number} from @param {number} many */
function placed(one, zoom, starts, from, many) {
  one.style.left = `${SIZES[zoom].head + (starts[from] ?? 0)}px`;
  one.style.width = `${many * SIZES[zoom].column}px`;
  return one;
}
