/** The columns that are shown, as the library wants to be told of them. */

import { head, width } from "../model/sheet/columns.js";
import { formatter } from "./cells.js";
import { editorFor } from "./editors.js";

/** @typedef {import("./surface.js").Surface} Surface */
/** @typedef {import("../model/sheet/columns.js").Column} Column */

const NUMERIC = new Set(["number", "whole", "year", "share"]);

/** @param {Surface} surface @param {readonly Column[]} shown @returns {import("slickgrid").Column<any>[]} */
export function definitions({ desk, swatches, beginning, widths }, shown) {
  return shown.map((one, index) => ({
    id: one.name, field: one.name, name: head(one), width: widths[one.name] || width(one), minWidth: 40, sortable: true, toolTip: one.hint ?? "",
    formatter: formatter(desk, one, swatches), cssClass: cellClass(one), cellAttrs: { "aria-colindex": String(index + 1) },
    ...(one.editable ? { editor: /** @type {any} */ (editorFor(desk, one, swatches, beginning)) } : {}),
  }));
}

/** @param {Column} one */
function cellClass(one) {
  return [NUMERIC.has(one.type) ? "numeric" : "", one.editable ? "" : "derived"].filter(Boolean).join(" ");
}
