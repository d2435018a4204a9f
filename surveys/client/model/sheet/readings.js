/** From what stands in a cell as text to the value that is sent, and from a record's value to its text. */

import { read as readField } from "../fields.js";

/** @typedef {import("./columns.js").Column} Column */

/**
 * What a cell holds: its text, the value that it means, and why it means none.
 * @typedef {{ text: string, value: unknown, fault: string }} Held
 *
 * @typedef {object} Context what texts are read against
 * @property {Record<string, readonly string[]>} words the closed lists
 * @property {import("./references.js").References} references
 */

const MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/**
 * @param {Column} column
 * @param {string} text
 * @param {Context} context
 * @param {Record<string, unknown>} row the record as it stands, for what is named within it
 * @returns {Held}
 */
export function read(column, text, context, row) {
  const whole = text.replaceAll("\r\n", "\n").replaceAll("\r", "\n");
  const bare = whole.trim();
  if (bare === "") return blank(column);
  switch (column.type) {
    case "word":
      return readWord(bare, context.words[column.words ?? ""] ?? []);
    case "munsell":
      return held(munsell(bare));
    case "list":
      return held(bare.split(/[;\n]/).map((part) => part.trim()).filter(Boolean).join("; "));
    case "reference":
      return readReference(column, bare, context, row);
    case "date":
      return readDate(bare);
    case "number":
      return readNumber(column, bare);
    case "whole":
    case "year":
      return asField(column, bare.replace(/\.0+$/, ""), bare);
    case "long":
      return held(whole);
    default:
      return held(bare);
  }
}

/** @param {Column} column @returns {Held} */
function blank(column) {
  const value = ["number", "whole", "year", "date", "reference"].includes(column.type) ? null : "";
  return { text: "", value, fault: column.required ? "This is needed." : "" };
}

/** @param {string} text @param {unknown} [value] @returns {Held} */
function held(text, value = text) {
  return { text, value, fault: "" };
}

/** @param {string} text @param {string} fault @returns {Held} */
function refused(text, fault) {
  return { text, value: null, fault };
}

/**
 * A word of a closed list, however its case, blanks and hyphens are written. What is in no list is left to the service, which knows
 * other ways of writing and says what was nearly meant.
 * @param {string} text @param {readonly string[]} words
 */
function readWord(text, words) {
  const wanted = fold(text);
  return held(words.find((word) => fold(word) === wanted) ?? text);
}

/** @param {string} text */
export function fold(text) {
  return text.normalize("NFKC").replace(/[\s_-]+/g, " ").trim().toLowerCase();
}

/** A Munsell notation with its blanks where they belong; the service judges whether there is such a colour. @param {string} text */
export function munsell(text) {
  const found = /^([\d.]*)\s*(N|R|YR|Y|GY|G|BG|B|PB|P|RP)\s*([\d.]+)\s*(?:\/\s*([\d.]*))?$/i.exec(text);
  if (!found) return text;
  const [, step = "", hue = "", value = "", chroma = ""] = found;
  if (hue.toUpperCase() === "N") return step || Number(chroma) > 0 ? text : `N ${value}`;
  return step && chroma ? `${step}${hue.toUpperCase()} ${value}/${chroma}` : text;
}

/** @param {Column} column @param {string} text @param {Context} context @param {Record<string, unknown>} row */
function readReference(column, text, context, row) {
  const collection = column.refers ?? "";
  const found = context.references.id(collection, column.within ? withinRow(column, text, row) : text);
  if (found) return held(context.references.name(collection, found), found);
  return refused(text, `There is no ${column.one ?? "record"} ${text} in this project.`);
}

/** A generation named by its number alone is one of the row's own space. @param {Column} column @param {string} text @param {Record<string, unknown>} row */
function withinRow(column, text, row) {
  const outer = row[column.within ?? ""];
  return /^\d+$/.test(text) && outer ? `${outer}/${text}` : text;
}

/** @param {Column} column @param {string} text */
function readNumber(column, text) {
  if (/^[+-]?\d{1,3}(,\d{3})+$/.test(text)) return refused(text, "A comma before three digits can be read in two ways. Write the number without it, or with a point.");
  const without = column.unit && text.endsWith(column.unit) ? text.slice(0, -column.unit.length).trim() : text;
  return asField(column, without, text);
}

/** @param {Column} column @param {string} bare @param {string} text @returns {Held} */
function asField(column, bare, text) {
  const type = /** @type {import("../fields.js").FieldType} */ (column.type);
  const { value, fault } = readField({ name: column.name, label: column.label, type }, bare);
  return fault ? refused(text, fault) : held(plain(column, value), value);
}

/** @param {string} text */
function readDate(text) {
  const parts = dateParts(text);
  if (!parts) return refused(text, "Write a date as 2026-05-14.");
  const [year, month, day] = parts;
  const made = new Date(Date.UTC(year, month - 1, day));
  if (made.getUTCMonth() !== month - 1 || made.getUTCDate() !== day) return refused(text, `There is no such day as ${text}.`);
  return held(made.toISOString().slice(0, 10));
}

/**
 * Year, month and day, where the text can be read in one way only.
 * @param {string} text
 * @returns {[number, number, number] | null}
 */
function dateParts(text) {
  const iso = /^(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]00:00(?::00)?)?$/.exec(text);
  if (iso) return [Number(iso[1]), Number(iso[2]), Number(iso[3])];
  const named = /^(\d{1,2})[ .-]+([A-Za-z]{3,9})\.?[ ,-]+(\d{4})$/.exec(text);
  if (named) {
    const month = MONTHS.indexOf((named[2] ?? "").slice(0, 3).toLowerCase()) + 1;
    return month ? [Number(named[3]), month, Number(named[1])] : null;
  }
  const dotted = /^(\d{1,2})\.(\d{1,2})\.(\d{4})$/.exec(text);
  if (dotted) return [Number(dotted[3]), Number(dotted[2]), Number(dotted[1])];
  const slashed = /^(\d{1,2})\/(\d{1,2})\/(\d{4})$/.exec(text);
  if (!slashed) return null;
  const [first, second] = [Number(slashed[1]), Number(slashed[2])];
  if (first > 12 || first === second) return [Number(slashed[3]), second, first];
  return second > 12 ? [Number(slashed[3]), first, second] : null;
}

/**
 * The text of a record's value.
 * @param {Column} column
 * @param {Record<string, unknown>} row
 * @param {Context} context
 */
export function textOf(column, row, context) {
  const value = row[column.name];
  if (column.type === "reference") {
    if (value === null || value === undefined) return "";
    return context.references.name(column.refers ?? "", String(value)) || String(row[column.shows ?? ""] ?? "");
  }
  return plain(column, value);
}

/** @param {Column} column @param {unknown} value */
export function plain(column, value) {
  if (value === null || value === undefined) return "";
  if (column.type === "year" && typeof value === "number" && value < 0) return `${-value} BCE`;
  if (column.type === "share" && typeof value === "number") return `${Math.round(100 * value)} %`;
  return String(value);
}

/** Whether two values are one to the record: nothing is nothing, however it is written. @param {unknown} first @param {unknown} second */
export function same(first, second) {
  const [a, b] = [first ?? "", second ?? ""];
  return a === b || (a !== "" && b !== "" && String(a) === String(b));
}
