/** Plain tables: a caption, heads, rows. */

import { h, newId } from "./dom.js";

/** @typedef {import("./dom.js").Child} Child */

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
  return h("div", { class: "scroll", tabindex: 0, role: "region", "aria-labelledby": id }, made);
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
