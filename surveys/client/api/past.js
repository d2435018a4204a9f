/** The history of a record, putting back what was, and what was removed. */

import { withQuery } from "../lib/paths.js";
import { post, read } from "./http.js";
import { address } from "./records.js";

/** @typedef {import("../model/past.js").History} History */
/** @typedef {import("../model/past.js").RemovedAct} RemovedAct */

/** @param {string} code @param {string} id @param {number | null} before @param {AbortSignal} [signal] @returns {Promise<History>} */
export function history(code, id, before, signal) {
  return read(withQuery(address(code, "history", id), { before, limit: 20 }), signal);
}

/** @param {string} code @param {string} id @param {number} sequence @param {string[]} fields @param {number} version @returns {Promise<{ version: number }>} */
export function putBack(code, id, sequence, fields, version) {
  return post(address(code, "history", id, "restore"), { sequence, fields, version });
}

/** @param {string} code @param {{ before: string | null, record_type: string | null }} asked @param {AbortSignal} [signal] @returns {Promise<{ acts: RemovedAct[], cursor: number | null }>} */
export function removed(code, asked, signal) {
  return read(withQuery(address(code, "removed"), { ...asked, limit: 25 }), signal);
}

/** @param {string} code @param {string} act @returns {Promise<{ restored: { type: string, name: string }[] }>} */
export function bringBack(code, act) {
  return post(address(code, "restorations"), { act });
}
