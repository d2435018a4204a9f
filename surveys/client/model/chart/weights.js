/** What weighed how much in placing a layer: log odds in decibans, as words, numbers and lengths. */

/**
 * @typedef {{ name: string, decibans: number, odds: string, own: string, here: string, there: string }} Term
 * @typedef {{
 *   layer: string, generation: number | null, confidence: number | null, against: number | null, probability: number | null,
 *   against_probability: number | null, decided_by_ruling: boolean, unit: string, total: number | null, odds: string, sentence: string,
 *   terms: Term[], notes: string[]
 * }} Why
 * @typedef {{ name: string, number: string, says: string, side: "for" | "against" | "neither", share: number, seen: string[] }} Line
 */

export const UNIT = "Decibans: 10 are odds of ten to one, 3 of two to one, 0 are even.";

/** A number with its sign, to a tenth. @param {number} decibans */
export function signed(decibans) {
  const size = Math.abs(decibans).toFixed(1);
  return Number(size) === 0 ? "0.0" : `${decibans < 0 ? "−" : "+"}${size}`;
}

/** A line of the table for each term, the weightiest first, in the order of the service where they weigh the same. @param {Why} why @returns {Line[]} */
export function lines(why) {
  const { generation, against } = why;
  const most = Math.max(...why.terms.map((one) => Math.abs(one.decibans)), 1);
  return [...why.terms].sort((one, other) => Math.abs(other.decibans) - Math.abs(one.decibans)).map((one) => {
    const side = one.decibans > 0 ? "for" : one.decibans < 0 ? "against" : "neither";
    const says = side === "neither" ? "even" : `${one.odds} for ${side === "for" ? generation : against}`;
    return { name: one.name, number: signed(one.decibans), says, side, share: Math.abs(one.decibans) / most, seen: seen(one, why) };
  });
}

/** What was seen that the term rests on. @param {Term} one @param {Why} why */
function seen(one, why) {
  const sides = /** @type {const} */ ([["", one.own], [`${why.generation}: `, one.here], [`${why.against}: `, one.there]]);
  return sides.filter(([, text]) => text !== "").map(([side, text]) => `${side}${text}`);
}

/** The last line: what the terms make together. @param {Why} why */
export function sum(why) {
  if (why.total === null) return "";
  const side = why.total > 0 ? why.generation : why.against;
  return why.total === 0 || why.odds === "even" ? "even" : `${why.odds} for ${side}`;
}
