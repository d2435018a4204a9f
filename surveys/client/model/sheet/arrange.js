/** Which rows stand where: filtered, sorted, in groups. The order holds until it is asked for anew, so that no row runs away while it is typed in. */

import { BLANK, test } from "./filters.js";

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./columns.js").Column} Column */

/**
 * @typedef {{ name: string, down: boolean }} Order
 *
 * @typedef {object} Arrangement
 * @property {string} search words that must stand somewhere in a row
 * @property {Record<string, string>} filters by column
 * @property {Order[]} sort
 * @property {string[]} groups fields, outermost first
 *
 * @typedef {{ kind: "row", id: string }} RowEntry
 * @typedef {{ kind: "group", id: string, level: number, field: string, value: string, count: number, open: boolean }} GroupEntry
 * @typedef {RowEntry | GroupEntry} Entry
 */

const NATURAL = new Intl.Collator("en-GB", { numeric: true, sensitivity: "base" });
const NUMERIC = new Set(["number", "whole", "year", "share"]);

/** @returns {Arrangement} */
export function plain() {
  return { search: "", filters: {}, sort: [], groups: [] };
}

/**
 * The rows that pass, in order.
 * @param {Sheet} sheet
 * @param {Arrangement} wanted
 * @returns {string[]}
 */
export function chosen(sheet, wanted) {
  const passes = passing(sheet, wanted);
  const ids = sheet.ids().filter(passes);
  const orders = [...wanted.groups.filter((name) => !wanted.sort.some((one) => one.name === name)).map((name) => ({ name, down: false })), ...wanted.sort];
  const inGroups = wanted.groups.map((name) => orders.find((one) => one.name === name)).filter((one) => one !== undefined);
  const whole = [...inGroups, ...orders.filter((one) => !inGroups.includes(one))];
  return whole.length > 0 ? sorted(sheet, ids, whole) : ids;
}

/** @param {Sheet} sheet @param {Arrangement} wanted @returns {(id: string) => boolean} */
export function passing(sheet, wanted) {
  const tests = Object.entries(wanted.filters).flatMap(([name, said]) => {
    const column = sheet.columns.get(name);
    const made = column && test(column, said);
    return made ? [{ name, made }] : [];
  });
  const words = wanted.search.toLowerCase().split(/\s+/).filter(Boolean);
  const names = [...sheet.columns.keys()];
  return (id) => {
    if (!tests.every(({ name, made }) => made(sheet.text(id, name), sheet.value(id, name)))) return false;
    if (words.length === 0) return true;
    const whole = names.map((name) => sheet.text(id, name)).join("\n").toLowerCase();
    return words.every((word) => whole.includes(word));
  };
}

/** What is blank comes last, up or down. @param {Sheet} sheet @param {string[]} ids @param {Order[]} orders */
function sorted(sheet, ids, orders) {
  const known = orders.filter((one) => sheet.columns.has(one.name));
  const keys = new Map(ids.map((id, place) => [id, { place, values: known.map((one) => key(sheet, id, one.name)) }]));
  return [...ids].sort((one, other) => {
    const [a, b] = [keys.get(one), keys.get(other)];
    if (!a || !b) return 0;
    for (const [index, order] of known.entries()) {
      const found = compare(a.values[index], b.values[index], order.down);
      if (found !== 0) return found;
    }
    return a.place - b.place;
  });
}

/** @param {Sheet} sheet @param {string} id @param {string} name @returns {string | number} */
function key(sheet, id, name) {
  const value = sheet.value(id, name);
  if (NUMERIC.has(sheet.column(name).type) && typeof value === "number") return value;
  return sheet.text(id, name);
}

/** @param {string | number | undefined} one @param {string | number | undefined} other @param {boolean} down */
function compare(one, other, down) {
  if (one === other) return 0;
  if (one === "" || one === undefined) return 1;
  if (other === "" || other === undefined) return -1;
  const found = typeof one === "number" && typeof other === "number" ? one - other : NATURAL.compare(String(one), String(other));
  return down ? -found : found;
}

/**
 * Rows with the heads of their groups between them; what is in a closed group is left out.
 * @param {Sheet} sheet
 * @param {readonly string[]} ids in order
 * @param {readonly string[]} groups
 * @param {ReadonlySet<string>} closed
 * @returns {Entry[]}
 */
export function entries(sheet, ids, groups, closed) {
  if (groups.length === 0) return ids.map((id) => ({ kind: "row", id }));
  /** @type {Entry[]} */
  const found = [];
  /** @type {GroupEntry[]} */
  let path = [];
  for (const id of ids) {
    const values = groups.map((field) => sheet.text(id, field) || BLANK);
    const from = values.findIndex((value, level) => path[level]?.value !== value);
    if (from >= 0) {
      path = path.slice(0, from);
      for (let level = from; level < groups.length; level += 1) {
        const made = head(values, level, groups[level] ?? "", closed);
        if (path.every((outer) => outer.open)) found.push(made);
        path.push(made);
      }
    }
    for (const group of path) group.count += 1;
    if (path.every((group) => group.open)) found.push({ kind: "row", id });
  }
  return found;
}

/** @param {string[]} values @param {number} level @param {string} field @param {ReadonlySet<string>} closed @returns {GroupEntry} */
function head(values, level, field, closed) {
  const id = `group:${JSON.stringify(values.slice(0, level + 1))}`;
  return { kind: "group", id, level, field, value: values[level] ?? "", count: 0, open: !closed.has(id) };
}
