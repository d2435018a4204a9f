/** What follows for single elements: readings, and what they showed as of a year or a phase. */

import { withQuery } from "../lib/paths.js";
import { read } from "./http.js";
import { address } from "./records.js";

/**
 * @param {string} code @param {{ space: string, class: string }} wanted @param {AbortSignal} signal
 * @returns {Promise<{ elements: import("../model/readings.js").Reading[] }>}
 */
export function readings(code, wanted, signal) {
  return read(withQuery(address(code, "readings"), { space: wanted.space, element_class: wanted.class }), signal);
}

/**
 * @param {string} code @param {import("../model/as_of.js").View} view @param {AbortSignal} signal
 * @returns {Promise<import("../model/as_of.js").AsOf>}
 */
export function asOf(code, view, signal) {
  const when = view.phase === null ? { year: view.year } : { phase: view.phase };
  return read(withQuery(address(code, "as-of"), { ...when, space: view.space, tentative: view.tentative ? "true" : null, prior: view.prior === "span" ? "span" : null }), signal);
}
