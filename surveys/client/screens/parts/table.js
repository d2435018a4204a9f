/** Plain tables: a caption, heads, rows. */

import { h, newId } from "./dom.js";

/** @typedef {import("./dom.js").Child} Child */

// What scrolls must be reached by the keyboard to be scrolled; what does not would only be one more stop on the way.
const reachable = new ResizeObserver((entries) => {
  for (const { target } of entries) {
    if (target.scrollWidth > target.clientWidth) target.setAttribute("tabindex", "0");
    else target.removeAttribute("tabindex");
  }
});

/**
 * A table that scrolls by itself where the window is narrow.
 * @param {string} caption
 * @param {readonly string[]} heads
 * @param {readonly (readonly Child[])[]} rows the first cell of each names the row
 * @param {{ numeric?: readonly number[], showCaption?: boolean, empty?: string }} [options]
 */
export function table(caption, heads, rows, options = {}) {
  if (rows.length === 0) return h("p", { class: "empty" }, options.empty ?? "There is nothing here yet.");
  const numeric = new Set(options.numeric ?? []);
  const id = newId("caption");
  const made = h("table", { "aria-labelledby": id },
    h("caption", { id, class: options.showCaption ? null : "hidden" }, caption),
    h("thead", null, h("tr", null, heads.map((head, index) => h("th", { scope: "col", class: numeric.has(index) ? "number" : null }, head)))),
    h("tbody", null, rows.map((row) => tableRow(row, numeric))));
  const place = h("div", { class: "scroll", role: "group", "aria-labelledby": id }, made);
  reachable.observe(place);
  return place;
}

/**
 * @param {readonly Child[]} row
 * @param {Set<number>} numeric
 */
export function tableRow(row, numeric = new Set()) {
  return h("tr", null, row.map((cell, index) => {
    const attributes = { class: numeric.has(index) ? "number" : null };
    return index === 0 ? h("th", { scope: "row", ...attributes }, cell) : h("td", attributes, cell);
  }));
}
