/** Readings of elements: marks, words, and the ladder of generations. */

import { list } from "../lib/words.js";
import { percent, placement } from "./confidence.js";

/**
 * @typedef {{
 *   element: string, element_id: string, element_class: string, position: string, space: string, space_id: string, space_name: string,
 *   first: number | null, last: number | null, carried: number[], could: number[], missing_before: number[], missing_between: number[],
 *   missing_after: number[], begins: number | null, foreign: number[],
 *   neighbours: { elements: number, fewest: number, median: number, most: number, earlier: number }, conclusion: string,
 *   certainty: number | null, chances: { history: string, probability: number }[], because: string[],
 *   samples: { number: string, id: string }[], sentence: string
 * }} Reading
 * @typedef {{ ordinal: number, state: "carried" | "below" | "missing" | "unseen" }} Rung
 */

/** A shape for each conclusion, so that no colour is needed to tell them apart. @type {Record<string, string>} */
const MARKS = {
  "from the start": "●", inserted: "◆", stripped: "◒", reused: "⇄", "inserted or stripped": "◈", undecided: "◌", "beginning not seen": "▽", "no evidence": "○",
};

/** @param {string} conclusion */
export function markOf(conclusion) {
  return { mark: MARKS[conclusion] ?? "·", word: conclusion };
}

/** The same words as for placements: how surely, as a word and a number. @param {Reading} one */
export function surelyInWords(one) {
  return one.certainty === null ? "" : `${placement(one.certainty)} (${percent(one.certainty)})`;
}

/**
 * The generations of its space from the oldest on, and how the element stands to each.
 * @param {Reading} one @param {number} highest the last generation of the space
 * @returns {Rung[]}
 */
export function ladder(one, highest) {
  const rungs = [];
  for (let ordinal = 1; ordinal <= highest; ordinal += 1) {
    const carried = one.carried.includes(ordinal);
    const below = carried && one.begins !== null && ordinal < one.begins;
    /** @type {Rung["state"]} */
    const state = below ? "below" : carried ? "carried" : one.could.includes(ordinal) ? "missing" : "unseen";
    rungs.push({ ordinal, state });
  }
  return rungs;
}

/** The last generation that any element of a space carries or could carry. @param {readonly Reading[]} elements */
export function highest(elements) {
  return Math.max(0, ...elements.flatMap((one) => [...one.carried, ...one.could]));
}

/** @param {Reading} one */
export function missingInWords(one) {
  const told = [
    [one.missing_before, "before its first"], [one.missing_between, "between"], [one.missing_after, "after its last"],
  ].filter(([some]) => some && some.length > 0);
  return list(told.map(([some, where]) => `${runs(/** @type {number[]} */ (some))} ${where}`));
}

/** '1–3, 7' of 1, 2, 3, 7. @param {readonly number[]} ordinals */
export function runs(ordinals) {
  /** @type {[number, number][]} */
  const found = [];
  for (const one of ordinals) {
    const last = found[found.length - 1];
    if (last && last[1] === one - 1) last[1] = one;
    else found.push([one, one]);
  }
  return found.map(([from, to]) => (from === to ? String(from) : to === from + 1 ? `${from}, ${to}` : `${from}–${to}`)).join(", ");
}

/** How often each conclusion stands, most often first. @param {readonly Reading[]} elements */
export function tally(elements) {
  /** @type {Map<string, number>} */
  const found = new Map();
  for (const one of elements) found.set(one.conclusion, (found.get(one.conclusion) ?? 0) + 1);
  return [...found].sort((a, b) => b[1] - a[1]);
}
