/** Two people changed one record: what each of them did to which field. */

import { shown } from "./fields.js";

/** @typedef {import("./fields.js").Field} Field */

/**
 * @typedef {{ field: Field, base: string, mine: string, theirs: string }} Difference
 */

/**
 * The fields that both changed, and not to the same: here a person must choose. What only one of them changed stands as it is.
 * @param {readonly Field[]} fields
 * @param {Record<string, string>} base as it was read, by field name
 * @param {Record<string, string>} mine as it was entered
 * @param {Record<string, unknown>} current the record as it now stands
 * @returns {{ both: Difference[], theirs: Difference[], mine: Difference[] }}
 */
export function compare(fields, base, mine, current) {
  /** @type {{ both: Difference[], theirs: Difference[], mine: Difference[] }} */
  const found = { both: [], theirs: [], mine: [] };
  for (const field of fields) {
    const one = { field, base: base[field.name] ?? "", mine: mine[field.name] ?? "", theirs: shown(field, current) };
    const [iDid, theyDid] = [one.mine !== one.base, one.theirs !== one.base];
    if (iDid && theyDid && one.mine !== one.theirs) found.both.push(one);
    else if (iDid && !theyDid) found.mine.push(one);
    else if (theyDid && !iDid) found.theirs.push(one);
  }
  return found;
}
