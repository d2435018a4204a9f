/** What follows from the whole record: how far the study has come, and the years. */

import { withQuery } from "../lib/paths.js";
import { read } from "./http.js";
import { address } from "./records.js";

/** @typedef {import("../model/types.js").DateConflict} DateConflict */

/** @param {string} code @param {AbortSignal} signal @returns {Promise<import("../model/standing.js").Coverage>} */
export function coverage(code, signal) {
  return read(address(code, "coverage"), signal);
}

/**
 * @param {string} code @param {boolean} tentative whether tentative evidence bounds years too @param {AbortSignal} signal
 * @returns {Promise<{
 *   generations: import("../model/years.js").Dated[], conflicts: DateConflict[], unused: { kind: string, key: string, sentence: string }[],
 *   spaces: { space: string, prior: string, sentence: string }[], current: boolean
 * }>}
 */
export function years(code, tentative, signal) {
  return read(withQuery(address(code, "dating"), { tentative: tentative ? "true" : null }), signal);
}

/**
 * Why a layer stands where it stands.
 * @param {string} code @param {string} layer @param {number | null} against the generation to compare with; the runner-up where none is said
 * @param {AbortSignal} signal @returns {Promise<import("../model/chart/weights.js").Why>}
 */
export function why(code, layer, against, signal) {
  return read(withQuery(address(code, "layers", layer, "why"), { against }), signal);
}

/** Where to look next in a space. @param {string} code @param {string} space @param {AbortSignal} signal @returns {Promise<import("../model/chart/looking.js").Looking>} */
export function looking(code, space, signal) {
  return read(address(code, "spaces", space, "looking"), signal);
}

/** What spaces share. @param {string} code @param {string} space one of them, or '' for all with all @param {AbortSignal} signal @returns {Promise<import("../model/campaigns.js").Campaigns>} */
export function campaigns(code, space, signal) {
  return read(withQuery(address(code, "campaigns"), { space: space || null }), signal);
}
