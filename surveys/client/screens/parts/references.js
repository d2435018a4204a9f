/** Finding the record that a person names in a form. */

import { all, idOf } from "../../api/records.js";

/** @typedef {import("../../model/fields.js").Field} Field */

/** @param {string} code @returns {(field: Field, name: string) => Promise<string | null>} */
export function resolver(code) {
  return (field, name) => idOf(code, field.refers ?? "", field.human ?? "id", name);
}

const FEW = new Set(["spaces", "phases"]);

/**
 * The names to choose from in fields whose collection is short; longer ones are typed.
 * @param {string} code
 * @param {readonly Field[]} fields
 * @param {AbortSignal} signal
 * @returns {Promise<Record<string, string[]>>}
 */
export async function offers(code, fields, signal) {
  const short = fields.filter((field) => field.type === "reference" && FEW.has(field.refers ?? ""));
  const found = await Promise.all(short.map(async (field) => {
    const rows = await all(code, field.refers ?? "", { fields: field.human ?? "id" }, signal);
    return /** @type {const} */ ([field.name, rows.map((row) => String(row[field.human ?? "id"]))]);
  }));
  return Object.fromEntries(found);
}
