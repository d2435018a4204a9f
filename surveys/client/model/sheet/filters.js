/** Which rows are shown: by text, by value, by range, by whether anything is there. What is written so is also chosen in a column's panel. */

/** @typedef {import("./columns.js").Column} Column */

/**
 * @typedef {(text: string, value: unknown) => boolean} Test
 *
 * What a filter says. Bounds stand as they were written; null is no bound.
 * @typedef {{ kind: "all" } | { kind: "nothing" } | { kind: "blank" } | { kind: "filled" } | { kind: "text", text: string }
 *   | { kind: "values", values: string[], except: boolean } | { kind: "range", low: string | null, high: string | null, within: boolean }} Filter
 */

export const BLANK = "(blank)";
export const NOT_BLANK = "(not blank)";
export const NOTHING = "(nothing)";
const NUMERIC = new Set(["number", "whole", "year", "share"]);

/** Whether a column's values have bounds. @param {Column} column */
export function ranged(column) {
  return NUMERIC.has(column.type) || column.type === "date";
}

/**
 * What stands in a column's filter, understood. `(blank)`, `(not blank)`; `=cream` just this, `=cream|stone` either, `!=cream` anything else;
 * a value with a bar or quotes in it stands in quotes; `10..20`, `>=10`, `<1840` in numbers, years and dates; anything else stands somewhere
 * in the text, and `~` before it says that it is no more than text.
 * @param {Column} column
 * @param {string} said
 * @returns {Filter}
 */
export function parse(column, said) {
  const wanted = said.trim();
  const word = wanted.toLowerCase();
  if (wanted === "" || wanted === "~") return { kind: "all" };
  if (word === BLANK) return { kind: "blank" };
  if (word === NOT_BLANK) return { kind: "filled" };
  if (word === NOTHING) return { kind: "nothing" };
  if (wanted.startsWith("=")) return { kind: "values", values: apart(wanted.slice(1)), except: false };
  if (wanted.startsWith("!=")) return { kind: "values", values: apart(wanted.slice(2)), except: true };
  if (wanted.startsWith("~")) return { kind: "text", text: wanted.slice(1) };
  return bounds(column, wanted) ?? { kind: "text", text: wanted };
}

/**
 * A filter as it is written.
 * @param {Column} column
 * @param {Filter} filter
 * @returns {string}
 */
export function write(column, filter) {
  switch (filter.kind) {
    case "all": return "";
    case "nothing": return NOTHING;
    case "blank": return BLANK;
    case "filled": return NOT_BLANK;
    case "values": return `${filter.except ? "!=" : "="}${filter.values.map(quoted).join("|")}`;
    case "range": return written(filter);
    case "text": {
      const plain = parse(column, filter.text);
      return plain.kind === "text" && plain.text === filter.text ? filter.text : `~${filter.text}`;
    }
  }
}

/** @param {{ low: string | null, high: string | null, within: boolean }} range */
function written({ low, high, within }) {
  if (low === null && high === null) return "";
  if (within) return `${low ?? ""}..${high ?? ""}`;
  return low === null ? `<${high}` : `>${low}`;
}

/**
 * What stands in a column's filter as a test; null where it says nothing.
 * @param {Column} column
 * @param {string} said
 * @returns {Test | null}
 */
export function test(column, said) {
  const filter = parse(column, said);
  switch (filter.kind) {
    case "all": return null;
    case "nothing": return () => false;
    case "blank": return (text) => text === "";
    case "filled": return (text) => text !== "";
    case "values": return oneOf(filter);
    case "range": return inRange(column, filter);
    case "text": {
      const part = filter.text.toLowerCase();
      return (text) => text.toLowerCase().includes(part);
    }
  }
}

/** What values are told apart by: neither case nor blanks around. @param {string} text */
export function folded(text) {
  return text.trim().toLowerCase();
}

/** @param {{ values: string[], except: boolean }} said @returns {Test} */
function oneOf({ values, except }) {
  const known = new Set(values.map(folded));
  return (text) => known.has(folded(text)) !== except;
}

/** The values between the bars; blank is the one that is written so without quotes, and an empty one. @param {string} said */
function apart(said) {
  const found = [];
  for (const [, , within, bare = ""] of said.matchAll(/(^|\|)(?:\s*"((?:[^"]|"")*)"\s*(?=\||$)|([^|]*))/g)) {
    if (within !== undefined) found.push(within.replaceAll('""', '"'));
    else found.push(folded(bare) === BLANK ? "" : bare.trim());
  }
  return found;
}

/** @param {string} value */
function quoted(value) {
  if (value === "") return BLANK;
  return /^"|\||^\s|\s$/.test(value) || folded(value) === BLANK ? `"${value.replaceAll('"', '""')}"` : value;
}

/** @param {Column} column @param {string} said @returns {Filter | null} */
function bounds(column, said) {
  if (!ranged(column)) return null;
  const scale = scaleOf(column);
  const between = /^(.*?)\s*\.\.\s*(.*)$/.exec(said);
  if (between) {
    const [low, high] = [between[1] ?? "", between[2] ?? ""].map((one) => (scale(one) === null ? null : one));
    return low === null && high === null ? null : { kind: "range", low: low ?? null, high: high ?? null, within: true };
  }
  const beyond = /^(>=|<=|>|<)\s*(.+)$/.exec(said);
  const bound = beyond?.[2] ?? "";
  if (!beyond || scale(bound) === null) return null;
  const [sign, within] = [beyond[1] ?? "", (beyond[1] ?? "").endsWith("=")];
  return sign.startsWith(">") ? { kind: "range", low: bound, high: null, within } : { kind: "range", low: null, high: bound, within };
}

/** @param {Column} column @param {{ low: string | null, high: string | null, within: boolean }} range @returns {Test} */
function inRange(column, range) {
  const scale = scaleOf(column);
  const [low, high] = [range.low === null ? null : scale(range.low), range.high === null ? null : scale(range.high)];
  const upTo = high !== null && typeof high === "string" ? `${high}~` : high;
  return (text, value) => {
    const here = scale(text, value);
    if (here === null) return false;
    if (!range.within) return low === null ? high !== null && here < high : here > (typeof low === "string" ? `${low}~` : low);
    return (low === null || here >= low) && (upTo === null || here <= upTo);
  };
}

/** @param {Column} column @returns {(text: string, value?: unknown) => number | string | null} */
function scaleOf(column) {
  if (column.type === "date") return day;
  return column.type === "share" ? share : number;
}

/** @param {string} text @param {unknown} [value] */
function number(text, value) {
  if (typeof value === "number") return value;
  const before = /^(\d+)\s*BCE?$/i.exec(text.trim());
  if (before) return -Number(before[1]);
  const found = text.trim() === "" ? Number.NaN : Number(text.trim().replace(",", "."));
  return Number.isNaN(found) ? null : found;
}

/** Hundredths, as they are shown; what is recorded is a part of one. @param {string} text @param {unknown} [value] */
function share(text, value) {
  if (typeof value === "number") return Math.round(100 * value);
  const found = number(text.replace("%", ""));
  return found !== null && found > 0 && found < 1 && !text.includes("%") ? 100 * found : found;
}

/** A day, a month or a year; as a bound a year ends with its last day. @param {string} text */
function day(text) {
  return /^\d{4}(-\d{2}(-\d{2})?)?$/.test(text.trim()) ? text.trim() : null;
}
