/** The report of a file's check: what would be done, and everything that is wrong. */

import { count, list } from "../lib/words.js";

/**
 * @typedef {{ sheet: string, row: number | null, column: string, value: string, code: string, detail: string }} Finding
 * @typedef {{ sheet: string, rows: number, created: number, changed: number, unchanged: number }} SheetCount
 */

/** The sheets that a CSV can be. */
export const SHEETS = ["Spaces", "Elements", "Samples", "Layers", "Evidence", "Phases", "Rulings"];

/** @param {any} report @returns {{ faults: Finding[], notices: Finding[] }} */
export function findings(report) {
  return { faults: (report?.faults ?? []).map(finding), notices: (report?.notices ?? []).map(finding) };
}

/** @param {any} one @returns {Finding} */
function finding(one) {
  const { sheet = "", row = null, column = one.field ?? "", value = "", code = "", detail = "" } = one;
  return { sheet, row, column, value: String(value ?? ""), code, detail };
}

/** @param {any} report @returns {SheetCount[]} */
export function plans(report) {
  return report?.sheets ?? [];
}

/**
 * What is or would be done, in one sentence.
 * @param {SheetCount[]} sheets
 */
export function summary(sheets) {
  const sum = (/** @type {"created" | "changed" | "unchanged"} */ name) => sheets.reduce((total, one) => total + one[name], 0);
  return list([
    `${count(sum("created"), "record")} created`,
    `${count(sum("changed"), "record")} changed`,
    `${count(sum("unchanged"), "record")} left alone`,
  ]);
}
