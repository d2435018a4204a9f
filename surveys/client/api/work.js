/** Jobs and what they find. */

import { address, all, page } from "./records.js";
import { post, read } from "./http.js";

/** @typedef {import("../model/types.js").Job} Job */
/** @typedef {import("../model/types.js").Chart} Chart */
/** @typedef {import("../model/types.js").Ruling} Ruling */
/** @typedef {import("../model/types.js").DateConflict} DateConflict */

/** @param {string} code @param {string} kind @param {Record<string, unknown>} [params] @returns {Promise<Job>} */
export function ask(code, kind, params = {}) {
  return post(address(code, "jobs"), { kind, params });
}

/** @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<Job>} */
export function job(code, id, signal) {
  return read(address(code, "jobs", id), signal);
}

/** @param {string} code @param {import("./records.js").Query} query @param {AbortSignal} signal */
export function jobs(code, query, signal) {
  return /** @type {Promise<import("./records.js").Page<Job>>} */ (page(code, "jobs", query, signal));
}

/** @param {string} code @param {string} id @returns {Promise<Job>} */
export function cancel(code, id) {
  return post(address(code, "jobs", id, "cancel"), undefined);
}

/** @param {string} code @param {string} space @param {AbortSignal} signal @returns {Promise<Chart>} */
export function chart(code, space, signal) {
  return read(address(code, "spaces", space, "chart"), signal);
}

/** @param {string} code @param {string} space @param {AbortSignal} signal @returns {Promise<Ruling[]>} */
export function rulings(code, space, signal) {
  return all(code, "rulings", { space, ordering: "created_at" }, signal);
}

/** @param {string} code @param {AbortSignal} signal @returns {Promise<{ conflicts: DateConflict[], current: boolean }>} */
export function dating(code, signal) {
  return read(address(code, "dating"), signal);
}

/** @typedef {{ id: string, version: number }} Versioned */

/** Make two generations one, of which the first stays. @param {string} code @param {Versioned} keep @param {Versioned} gone */
export function joinGenerations(code, keep, gone) {
  return post(address(code, "generations", keep.id, "join"), { version: keep.version, other: gone.id, other_version: gone.version });
}

/** Take layers of a generation into one of their own. @param {string} code @param {Versioned} one @param {string[]} layers @param {"above" | "below"} place */
export function splitGeneration(code, one, layers, place) {
  return post(address(code, "generations", one.id, "split"), { version: one.version, layers, place });
}
