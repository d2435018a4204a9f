/** Element classes by spaces: how much of each is sampled, examined, placed, dated. Every number leads to its records. */

import { path, withQuery } from "../../lib/paths.js";
import { number } from "../../lib/words.js";
import { addressOf, classesOf, markOf, MEASURES, shareOf } from "../../model/standing.js";
import { h, link, newId } from "../parts/dom.js";

/** @typedef {import("../../model/standing.js").Coverage} Coverage */
/** @typedef {import("../../model/standing.js").Cell} Cell */
/** @typedef {import("../../model/standing.js").Counted} Counted */
/** @typedef {import("../../model/standing.js").Measure} Measure */

const ARROWS = /** @type {Record<string, readonly [number, number]>} */ ({ ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] });

/** @param {string} code @param {Coverage} coverage @param {readonly string[]} order @param {Measure} measure */
export function matrix(code, coverage, order, measure) {
  const base = path("projects", code);
  const id = newId("matrix");
  const table = h("table", { class: "matrix", "aria-labelledby": id },
    h("caption", { id, class: "hidden" }, `Element classes by spaces: ${measure.told}`),
    h("thead", null, h("tr", null, h("th", { scope: "col" }, "Class"),
      coverage.spaces.map((one) => h("th", { scope: "col", title: one.name || null }, link(path("projects", code, "spaces", one.number), h("span", { class: "hidden" }, "Space "), one.number))),
      h("th", { scope: "col" }, "All"))),
    h("tbody", null, classesOf(coverage.cells, order).map((name) => row(base, coverage, measure, name))),
    h("tfoot", null, row(base, coverage, measure, "")));
  table.addEventListener("keydown", (event) => moved(table, event));
  table.addEventListener("focusin", (event) => event.target instanceof HTMLElement && only(table, event.target));
  const first = table.querySelector("tbody a") ?? table.querySelector("a");
  if (first instanceof HTMLElement) only(table, first);
  return h("div", null,
    h("p", { class: "zoom", role: "group", "aria-label": "What the table shows" }, "Show: ", MEASURES.flatMap((one) => {
      const made = link(withQuery(base, { show: one === MEASURES[0] ? null : one.key }), one.label);
      if (one === measure) made.setAttribute("aria-current", "true");
      return [made, " "];
    })),
    h("p", { class: "hint" }, `Each cell: ${measure.told}. ● all, ◑ some, ○ none; blank: no element of the class. Arrow keys go from number to number.`),
    h("div", { class: "scroll heads", role: "group", "aria-labelledby": id }, table));
}

/** @param {string} base @param {Coverage} coverage @param {Measure} measure @param {string} name the class; '' for all of them */
function row(base, coverage, measure, name) {
  const cells = coverage.cells.filter((one) => name === "" || one.element_class === name);
  const where = name ? { element_class: name } : {};
  return h("tr", null, h("th", { scope: "row" }, name || "All"),
    coverage.spaces.map((space) => share(base, cells.filter((one) => one.space === space.number), measure, { ...where, space: space.number })),
    share(base, cells, measure, where));
}

/** @param {string} base @param {Cell[]} cells @param {Measure} measure @param {{ space?: string, element_class?: string }} where */
function share(base, cells, measure, where) {
  if (cells.length === 0) return h("td", null, h("span", { class: "hidden" }, "no element"));
  const found = shareOf(cells, measure.key, where);
  if (found.whole.many === 0 && found.part.many === 0) return h("td", null, h("span", { class: "hidden" }, "nothing yet"), h("span", { class: "blank", "aria-hidden": "true" }, "–"));
  const { mark, word } = markOf(found);
  return h("td", { class: word }, h("span", { class: "mark", "aria-hidden": "true" }, mark), h("span", { class: "hidden" }, `${word}: `),
    counted(base, found.part), h("span", { "aria-hidden": "true" }, "/"), h("span", { class: "hidden" }, " of "), counted(base, found.whole));
}

/** @param {string} base @param {Counted} one */
function counted(base, one) {
  return one.target ? link(addressOf(base, one.target), number(one.many)) : h("span", { class: "none" }, number(one.many));
}

/** One stop for the tabulator, wherever one was last. @param {HTMLElement} table @param {HTMLElement} here */
function only(table, here) {
  for (const one of table.querySelectorAll("a")) one.tabIndex = one === here ? 0 : -1;
}

/** @param {HTMLTableElement} table @param {KeyboardEvent} event */
function moved(table, event) {
  const by = ARROWS[event.key];
  const here = event.target instanceof HTMLElement ? event.target.closest("th, td") : null;
  if (!by || !here || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  const next = by[0] ? vertical(table, /** @type {HTMLTableCellElement} */ (here), by[0]) : sideways(table, event.target, by[1]);
  if (next instanceof HTMLElement) next.focus();
}

/** @param {HTMLTableElement} table @param {EventTarget | null} here @param {number} by */
function sideways(table, here, by) {
  const all = [...table.querySelectorAll("a")];
  return all[all.indexOf(/** @type {HTMLAnchorElement} */ (here)) + by];
}

/** The next cell above or below that leads somewhere. @param {HTMLTableElement} table @param {HTMLTableCellElement} here @param {number} by */
function vertical(table, here, by) {
  const rows = [...table.rows];
  let at = rows.indexOf(/** @type {HTMLTableRowElement} */ (here.parentElement)) + by;
  for (; rows[at]; at += by) {
    const found = rows[at]?.cells[here.cellIndex]?.querySelector("a");
    if (found) return found;
  }
  return null;
}
