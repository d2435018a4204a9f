/** The report of a file's check: what would be done, and everything that is wrong. */

import { count, list } from "../lib/words.js";

/**
 * @typedef {{ sheet: string, row: number | null, column: string, value: string, code: string, detail: string }} Finding
 * @typedef {{ sheet: string, created: number, changed: number, unchanged: number }} SheetCount
 */

/** @param {any} report */
export function findings(report) {
  /** @type {Finding[]} */
  const faults = (report?.faults ?? []).map(finding);
  /** @type {Finding[]} */
  const notices = (report?.notices ?? []).map(finding);
  return { faults, notices };
}

/** @param {any} one @returns {Finding} */
function finding(one) {
  const { sheet = "", row = null, column = one.field ?? "", value = "", code = "", detail = "" } = one;
  return { sheet, row, column, value: String(value ?? ""), code, detail };
}

/**
 * What would be done, in one sentence.
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
