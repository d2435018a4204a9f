/** The years of generations as lengths on an axis, and in words. */

import { year, years } from "../lib/words.js";

/**
 * @typedef {{ prior: string, first_year: number, probabilities: number[], median: number, interval_68: number[], interval_95: number[] }} Curve
 * @typedef {{ kind: string, key: string, id: string | null, sentence: string }} Step
 * @typedef {{
 *   id: string | null, space: string, ordinal: number, earliest: number | null, latest: number | null, earliest_by: Step[], latest_by: Step[],
 *   distributions: Curve[], conflicts: number[]
 * }} Dated
 * @typedef {{ from: number, to: number }} Range years, inclusive
 * @typedef {{ range: Range | null, spaces: string[], prior: "ordered" | "span", tentative: boolean, at: string }} View
 * @typedef {{ reference: string, id: string, bears_on: string, space: string, generation: string, relation: string, earliest: number | null, latest: number | null, certainty: string }} Mark
 */

/** The two priors, as an address says them and as the interface does. */
export const PRIORS = /** @type {const} */ ([
  ["ordered", "every ordered set of years equally likely", "Every ordered set of years"],
  ["span", "every span from first to last equally likely", "Every span from first to last"],
]);

export const NARROWEST = 5;
const STEPS = [1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000];

/** @param {{ get(name: string): string | null }} query @returns {View} */
export function fromQuery(query) {
  const [from, to] = [whole(query.get("from")), whole(query.get("to"))];
  return {
    range: from !== null && to !== null && to - from >= NARROWEST ? { from, to } : null,
    spaces: (query.get("spaces") ?? "").split(",").filter(Boolean),
    prior: query.get("prior") === "span" ? "span" : "ordered",
    tentative: query.get("tentative") === "yes",
    at: query.get("at") ?? "",
  };
}

/** @param {View} view @returns {Record<string, string | number | null>} */
export function toQuery(view) {
  return {
    from: view.range?.from ?? null, to: view.range?.to ?? null, spaces: view.spaces.join(","),
    prior: view.prior === "span" ? "span" : null, tentative: view.tentative ? "yes" : null, at: view.at,
  };
}

/** A year as somebody writes it: '1838', '-120', '120 BCE'; null where it is none. @param {string | null} text */
export function whole(text) {
  const found = /^\s*(-?)(\d{1,6})\s*(BCE?|CE)?\s*$/i.exec(text ?? "");
  if (!found) return null;
  const value = Number(found[2]);
  return found[1] || /^BC/i.test(found[3] ?? "") ? -value : value;
}

/**
 * From the first year named to the last; null where none is.
 * @param {readonly (number | null | undefined)[]} named
 * @returns {Range | null}
 */
export function extent(named) {
  const told = named.filter((one) => typeof one === "number");
  if (told.length === 0) return null;
  const [from, to] = [Math.min(...told), Math.max(...told)];
  const more = Math.max(1, Math.ceil((NARROWEST - (to - from)) / 2));
  return to - from < NARROWEST ? { from: from - more, to: to + more } : { from, to };
}

/** Where a year begins on an axis of some width. @param {Range} range @param {number} width @returns {(year: number) => number} */
export function scale(range, width) {
  const share = width / (range.to + 1 - range.from);
  return (value) => (value - range.from) * share;
}

/**
 * Round years for an axis, no closer than their labels need.
 * @param {Range} range @param {number} width @param {number} apart
 * @returns {{ year: number, text: string }[]}
 */
export function ticks(range, width, apart = 70) {
  const most = Math.max(1, Math.floor(width / apart));
  const step = STEPS.find((one) => (range.to + 1 - range.from) / one <= most) ?? 10_000;
  const found = [];
  for (let at = Math.ceil(range.from / step) * step; at <= range.to; at += step) {
    // There was no year 0: the count goes from 1 BCE to 1.
    const value = at === 0 ? 1 : at;
    found.push({ year: value, text: year(value) });
  }
  return found;
}

/** Closer (share < 1) or wider around a year, never beyond the whole. @param {Range} range @param {number} share @param {number} around @param {Range} all @returns {Range} */
export function zoomed(range, share, around, all) {
  const before = range.to - range.from;
  const length = Math.min(all.to - all.from, Math.max(NARROWEST, Math.round(before * share)));
  const left = before === 0 ? 0.5 : (around - range.from) / before;
  return held({ from: Math.round(around - left * length), to: Math.round(around - left * length) + length }, all);
}

/** @param {Range} range @param {number} by years @param {Range} all @returns {Range} */
export function panned(range, by, all) {
  return held({ from: range.from + Math.round(by), to: range.to + Math.round(by) }, all);
}

/** @param {Range} range @param {Range} all @returns {Range} */
function held(range, all) {
  const length = Math.min(range.to - range.from, all.to - all.from);
  const from = Math.min(Math.max(range.from, all.from), all.to - length);
  return { from, to: from + length };
}

/** Whether the whole is shown. @param {Range} range @param {Range} all */
export function isWhole(range, all) {
  return range.from <= all.from && range.to >= all.to;
}

/**
 * A bar from the start of the earliest year to the end of the latest; an open end runs to the edge. Null where it lies outside.
 * @param {number | null} earliest @param {number | null} latest @param {Range} range @param {number} width
 */
export function bar(earliest, latest, range, width) {
  const x = scale(range, width);
  const from = earliest === null ? 0 : x(earliest);
  const to = latest === null ? width : x(latest + 1);
  if (to < 0 || from > width) return null;
  return { x: Math.max(0, from), width: Math.max(1.5, Math.min(width, to) - Math.max(0, from)), openLeft: earliest === null || from < 0, openRight: latest === null || to > width };
}

/**
 * The outline of a distribution as the steps of a path, filled from the foot; its own highest year reaches the top. '' where none of it shows.
 * @param {Curve} curve @param {Range} range @param {number} width @param {number} foot @param {number} height
 */
export function outline(curve, range, width, foot, height) {
  const x = scale(range, width);
  const highest = Math.max(...curve.probabilities);
  const first = Math.max(0, range.from - curve.first_year);
  const last = Math.min(curve.probabilities.length - 1, range.to - curve.first_year);
  if (first > last || highest <= 0) return "";
  const steps = [`M${tidy(x(curve.first_year + first))} ${foot}`];
  for (let at = first; at <= last; at += 1) {
    const y = tidy(foot - ((curve.probabilities[at] ?? 0) / highest) * height);
    steps.push(`V${y}H${tidy(x(curve.first_year + at + 1))}`);
  }
  return `${steps.join("")}V${foot}Z`;
}

/** @param {number} value */
function tidy(value) {
  return Math.round(value * 10) / 10;
}

/** @param {Dated} one @param {View["prior"]} prior */
export function curveOf(one, prior) {
  const wanted = PRIORS.find(([key]) => key === prior)?.[1];
  return one.distributions.find((curve) => curve.prior === wanted) ?? null;
}

/** @param {Dated} one */
export function keyOf(one) {
  return `${one.space}/${one.ordinal}`;
}

/** @param {Dated} one */
export function boundsInWords(one) {
  return years(one.earliest, one.latest) || "no record bounds it";
}

/** @param {Curve | null} curve */
export function curveInWords(curve) {
  if (!curve) return "no distribution";
  return `median ${year(curve.median)}; 68 %: ${between(curve.interval_68)}; 95 %: ${between(curve.interval_95)}`;
}

/** @param {readonly number[]} interval */
export function between(interval) {
  return years(interval[0] ?? null, interval[1] ?? null);
}

/**
 * Spaces with their generations, oldest at the foot, and the evidence that bears on them or their elements.
 * @param {readonly Dated[]} generations @param {readonly Mark[]} marks @param {readonly string[]} chosen none: all
 */
export function groups(generations, marks, chosen) {
  const names = [...new Set(generations.map((one) => one.space))];
  return names.filter((name) => chosen.length === 0 || chosen.includes(name)).map((space) => ({
    space,
    generations: generations.filter((one) => one.space === space).sort((a, b) => b.ordinal - a.ordinal),
    marks: marks.filter((one) => one.space === space),
  }));
}

/** The next of the generations shown, as the eye goes down the page. @param {readonly string[]} keys @param {string} at @param {number} by */
export function stepped(keys, at, by) {
  const here = keys.indexOf(at);
  if (keys.length === 0) return "";
  if (here < 0) return keys[by > 0 ? 0 : keys.length - 1] ?? "";
  return keys[Math.min(keys.length - 1, Math.max(0, here + by))] ?? "";
}

/** What evidence says, in a few words. @param {Mark} mark */
export function markInWords(mark) {
  const what = mark.generation ? `generation ${mark.generation}` : mark.bears_on;
  const one = mark.relation === "made after" ? (mark.earliest ?? mark.latest) : mark.relation === "made before" ? (mark.latest ?? mark.earliest) : null;
  const when = one === null ? years(mark.earliest, mark.latest) : year(one);
  return `${mark.reference}: ${what} ${mark.relation} ${when}${mark.certainty === "tentative" ? ", tentative" : ""}`;
}

/**
 * What bounds nothing, and why: the layers of which one and the same is said in one sentence, the rest as it stands.
 * @param {readonly { kind: string, sentence: string }[]} unused
 * @returns {string[]}
 */
export function unusedInWords(unused) {
  /** @type {Map<string, { what: string, layers: string[], why: string }>} */
  const told = new Map();
  for (const one of unused) {
    const [, what, layer, why] = (one.kind === "material" && /^(.+) in (.+?) (was seen but not identified, .+|bounds nothing: .+)$/.exec(one.sentence)) || [];
    const key = what ? `${what} ${why}` : one.sentence;
    const group = told.get(key) ?? { what: what ?? one.sentence, layers: [], why: why ?? "" };
    if (layer) group.layers.push(layer);
    told.set(key, group);
  }
  return [...told.values()].map(({ what, layers, why }) => {
    if (layers.length === 0) return what;
    return layers.length === 1 ? `${what} in ${layers[0]} ${why}` : `${what} in ${layers.length} layers ${why} ${layers.join(", ")}.`;
  });
}
