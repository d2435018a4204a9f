/** Generations of different spaces that may be one campaign: what is offered, in words, and what putting them in a phase asks for. */

import { list, years } from "../lib/words.js";

/**
 * @typedef {{
 *   id: string, version: number, name: string, space: string, ordinal: number, label: string, earliest: number | null, latest: number | null,
 *   phase: string | null, phase_id: string | null
 * }} Offered
 * @typedef {{ first: string, second: string, chance: number, reasons: string[] }} Pair
 * @typedef {{ generations: Offered[], chance: number, earliest: number | null, latest: number | null, phase_id: string | null, pairs: Pair[] }} Campaign
 * @typedef {{ space: string | null, spaces: string[], campaigns: Campaign[], sentence: string }} Campaigns
 * @typedef {{ op: "change", id: string, version: number, values: { phase: string } }} Operation
 */

/** A probability in whole per cent, rounded down so that it never reads surer than it is. @param {number} chance */
function share(chance) {
  return `${Math.floor(chance * 100 + 1e-9)} %`;
}

/** The offer in one sentence. @param {Campaign} one */
export function offerWords(one) {
  const names = one.generations.map((each) => `${each.name}${each.label ? ` (${each.label})` : ""}`);
  const bounds = years(one.earliest, one.latest);
  return `${list(names)} may be one campaign: ${share(one.chance)}${one.pairs.length > 1 ? " for the weakest pair" : ""}${bounds ? `; their bounds leave ${bounds}` : ""}.`;
}

/** What a pair shares. @param {Pair} pair */
export function pairWords(pair) {
  return `${pair.first} and ${pair.second}, ${share(pair.chance)}: ${pair.reasons.join("; ") || "order alone"}.`;
}

/** The generations that are not in a phase yet. @param {Campaign} one @param {string} phase its id */
export function outside(one, phase) {
  return one.generations.filter((each) => each.phase_id !== phase);
}

/** One change for each generation that is not in the phase yet. @param {Campaign} one @param {string} phase its id @returns {Operation[]} */
export function operations(one, phase) {
  return outside(one, phase).map((each) => ({ op: "change", id: each.id, version: each.version, values: { phase } }));
}

/**
 * The phase to begin with: that of some of them, or the only one whose years theirs meet; '' where a person must choose.
 * @param {Campaign} one @param {readonly { id: string, earliest: number | null, latest: number | null }[]} phases
 */
export function likelyPhase(one, phases) {
  if (one.phase_id) return one.phase_id;
  const bounded = phases.filter((phase) => phase.earliest !== null || phase.latest !== null);
  const meet = bounded.filter((phase) => Math.max(phase.earliest ?? -Infinity, one.earliest ?? -Infinity) <= Math.min(phase.latest ?? Infinity, one.latest ?? Infinity));
  return meet.length === 1 && bounded.length === phases.length ? (meet[0]?.id ?? "") : "";
}

/** What the button says. @param {Campaign} one @param {string} phase its id */
export function putWords(one, phase) {
  if (!phase) return "Put them in it";
  const names = outside(one, phase).map((each) => each.name);
  return names.length === 2 && one.generations.length === 2 ? "Put both in it" : `Put ${list(names)} in it`;
}
