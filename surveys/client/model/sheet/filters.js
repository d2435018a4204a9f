/** Which rows are shown: by text, by value, by range, by whether anything is there. */

/** @typedef {import("./columns.js").Column} Column */

/**
 * @typedef {(text: string, value: unknown) => boolean} Test
 */

export const BLANK = "(blank)";
export const NOT_BLANK = "(not blank)";
const NUMERIC = new Set(["number", "whole", "year", "share"]);

/**
 * What stands in a column's filter as a test; null where it says nothing. `(blank)`, `(not blank)`; `=cream` just this, `=cream|stone` either;
 * `10..20`, `>=10`, `<1840` in numbers, years and dates; anything else stands somewhere in the text.
 * @param {Column} column
 * @param {string} said
 * @returns {Test | null}
 */
export function test(column, said) {
  const wanted = said.trim();
  if (wanted === "") return null;
  if (wanted.toLowerCase() === BLANK) return (text) => text === "";
  if (wanted.toLowerCase() === NOT_BLANK) return (text) => text !== "";
  if (wanted.startsWith("=")) return oneOf(wanted.slice(1));
  const bounds = range(column, wanted);
  if (bounds) return bounds;
  const part = wanted.toLowerCase();
  return (text) => text.toLowerCase().includes(part);
}

/** @param {string} said @returns {Test} */
function oneOf(said) {
  const values = new Set(said.split("|").map((one) => one.trim().toLowerCase()));
  return (text) => values.has(text.toLowerCase());
}

/** @param {Column} column @param {string} said @returns {Test | null} */
function range(column, said) {
  const scale = NUMERIC.has(column.type) ? number : column.type === "date" ? day : null;
  if (!scale) return null;
  const between = /^(.*?)\s*\.\.\s*(.*)$/.exec(said);
  if (between) return within(scale, scale(between[1] ?? ""), scale(between[2] ?? ""));
  const beyond = /^(>=|<=|>|<)\s*(.+)$/.exec(said);
  const bound = beyond && scale(beyond[2] ?? "");
  if (!beyond || bound === null) return null;
  const sign = beyond[1] ?? "";
  return (text, value) => {
    const here = scale(text, value);
    if (here === null || bound === null) return false;
    if (here === bound) return sign.endsWith("=");
    return sign.startsWith(">") ? here > bound : here < bound;
  };
}

/**
 * @param {(text: string, value?: unknown) => number | string | null} scale
 * @param {number | string | null} low @param {number | string | null} high
 * @returns {Test | null}
 */
function within(scale, low, high) {
  if (low === null && high === null) return null;
  return (text, value) => {
    const here = scale(text, value);
    return here !== null && (low === null || here >= low) && (high === null || here <= high);
  };
}

/** @param {string} text @param {unknown} [value] */
function number(text, value) {
  if (typeof value === "number") return value;
  const before = /^(\d+)\s*BCE?$/i.exec(text.trim());
  if (before) return -Number(before[1]);
  const found = text.trim() === "" ? Number.NaN : Number(text.trim().replace(",", "."));
  return Number.isNaN(found) ? null : found;
}

/** @param {string} text */
function day(text) {
  return /^\d{4}(-\d{2}(-\d{2})?)?$/.test(text.trim()) ? text.trim() : null;
}
