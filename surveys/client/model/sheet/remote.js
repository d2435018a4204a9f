/** What others changed: which records of a register must be read anew, which are gone. */

/** @typedef {import("../types.js").Change} Change */

/**
 * @typedef {object} News
 * @property {string[]} changed records to be read anew
 * @property {string[]} removed
 * @property {Set<string>} types all kinds of record that were written
 * @property {Map<string, string>} by who wrote what of this register, by record
 * @property {Map<string, string>} acts in which act a record was removed
 */

/**
 * @param {readonly Change[]} changes oldest first
 * @param {string} type of the records of this register
 * @param {(id: string) => number | null} version at which a record is known here
 * @returns {News}
 */
export function news(changes, type, version) {
  /** @type {Map<string, Change>} */
  const last = new Map();
  /** @type {News} */
  const found = { changed: [], removed: [], types: new Set(), by: new Map(), acts: new Map() };
  for (const line of changes) {
    found.types.add(line.record_type);
    if (line.record_type !== type) continue;
    last.set(line.record_id, line);
    if (line.action === "removed") found.acts.set(line.record_id, line.act);
  }
  for (const [id, line] of last) {
    const known = version(id);
    if (line.action === "removed") found.removed.push(id);
    else if (known === null || known < line.version) {
      found.changed.push(id);
      found.by.set(id, line.actor);
    }
  }
  return found;
}

/**
 * Rows that show a name of a record that was changed.
 * @param {Iterable<Record<string, unknown> & { id: string }>} rows
 * @param {ReadonlySet<string>} ids
 * @param {readonly string[]} fields that hold ids of other records
 */
export function showing(rows, ids, fields) {
  return [...rows].filter((row) => fields.some((field) => ids.has(String(row[field] ?? "")))).map((row) => row.id);
}

/** Lists cut into parts of at most so many. @template T @param {readonly T[]} list @param {number} most @returns {T[][]} */
export function parts(list, most) {
  return Array.from({ length: Math.ceil(list.length / most) }, (_, index) => list.slice(index * most, (index + 1) * most));
}
