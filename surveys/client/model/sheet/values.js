/** What a column holds, value by value, and narrowing the rows to some of the values. */

import { passing } from "./arrange.js";
import { folded, parse, test, write } from "./filters.js";

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./arrange.js").Arrangement} Arrangement */
/** @typedef {import("./columns.js").Column} Column */

/**
 * @typedef {{ key: string, text: string, count: number, shown: boolean }} Value one value of a column; the text is "" where nothing is recorded
 */

/** More values than that make an address that nobody can send. */
export const MOST = 150;
const NATURAL = new Intl.Collator("en-GB", { numeric: true, sensitivity: "base" });

/**
 * The values of a column in the rows that everything but its own filter lets pass, blank first; and whether its own filter shows them.
 * @param {Sheet} sheet @param {Arrangement} wanted @param {string} name @returns {Value[]}
 */
export function present(sheet, wanted, name) {
  const { [name]: own = "", ...others } = wanted.filters;
  const passes = passing(sheet, { ...wanted, filters: others });
  const shows = test(sheet.column(name), own) ?? (() => true);
  /** @type {Map<string, Value & { sort: number | string }>} */
  const found = new Map();
  for (const id of sheet.ids()) {
    if (!passes(id)) continue;
    const [text, value] = [sheet.text(id, name), sheet.value(id, name)];
    const key = folded(text);
    const known = found.get(key);
    if (known) known.count += 1;
    else found.set(key, { key, text, count: 1, shown: shows(text, value), sort: typeof value === "number" ? value : text });
  }
  return [...found.values()].sort(order).map(({ sort: _sort, ...value }) => value);
}

/** @param {Value & { sort: number | string }} one @param {Value & { sort: number | string }} other */
function order(one, other) {
  if (one.key === "" || other.key === "") return one.key === "" ? -1 : 1;
  return typeof one.sort === "number" && typeof other.sort === "number" ? one.sort - other.sort : NATURAL.compare(one.text, other.text);
}

/**
 * The filter that shows some of the values: those named, or all but the others, whichever the person began with.
 * @param {Column} column
 * @param {readonly Value[]} values all that are present, with those shown that are to be
 * @param {string} before the filter that stood there
 * @returns {{ said: string, refusal: string }}
 */
export function narrowed(column, values, before) {
  const [shown, rest] = [values.filter((one) => one.shown), values.filter((one) => !one.shown)];
  if (rest.length === 0) return { said: "", refusal: "" };
  if (shown.length === 0) return { said: write(column, { kind: "nothing" }), refusal: "" };
  if (shown.length === 1 && shown[0]?.key === "") return { said: write(column, { kind: "blank" }), refusal: "" };
  if (rest.length === 1 && rest[0]?.key === "") return { said: write(column, { kind: "filled" }), refusal: "" };
  const was = parse(column, before);
  const wanted = was.kind === "all" || was.kind === "filled" || (was.kind === "values" && was.except);
  const except = (wanted && rest.length <= MOST) || shown.length > MOST;
  const named = except ? rest : shown;
  if (named.length > MOST) return { said: "", refusal: `That is more than ${MOST} values one by one. Narrow the column by a part of its text or by bounds.` };
  return { said: write(column, { kind: "values", values: named.map((one) => one.text), except }), refusal: "" };
}
