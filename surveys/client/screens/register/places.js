/** Where a register's records lie elsewhere, and where the browser keeps its widths. */

import { path, withQuery } from "../../lib/paths.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */

/** Samples and layers lie at the bench too. @param {string} code @param {Desk} desk @param {string} id */
export function benchAddress(code, { kind, sheet }, id) {
  if (sheet.born.has(id)) return "";
  if (kind.name === "samples") return path("projects", code, "bench", sheet.text(id, "number"));
  if (kind.name !== "layers") return "";
  return withQuery(path("projects", code, "bench", sheet.text(id, "sample")), { layer: sheet.text(id, "position") });
}

/** How wide the person made the columns. @param {string} key @returns {Record<string, number>} */
export function keptWidths(key) {
  try {
    const kept = JSON.parse(localStorage.getItem(key) ?? "{}");
    return typeof kept === "object" && kept !== null ? kept : {};
  } catch {
    return {};
  }
}
