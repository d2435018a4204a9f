/** What elements showed as of a year or a phase: which of it is asked for, and how it is told. */

import { count, list, year, years } from "../lib/words.js";
import { percent } from "./confidence.js";
import { whole } from "./years.js";

/**
 * @typedef {{ year: number | null, phase: number | null, space: string, prior: "ordered" | "span", tentative: boolean }} View
 * @typedef {{
 *   layer: string, munsell: string, nearest: boolean, lab: number[] | null, srgb: string | null, in_gamut: boolean, spread: number,
 *   readings: number, named: string, first_colour: string
 * }} Colour
 * @typedef {{ kind: string, coats: number, layers: string[], samples: string[], colour: Colour | null }} FinishLayer
 * @typedef {{
 *   technique: string, recorded_technique: string, layers: FinishLayer[], leaf: string, sheen: string, colour: Colour | null,
 *   confidence: number | null, samples: { number: string, id: string }[], cited: { layer: string, id: string }[], doubts: string[]
 * }} Finish
 * @typedef {{
 *   generation: number | null, generation_id: string | null, label: string, earliest: number | null, latest: number | null,
 *   probability: number | null, finish: Finish | null
 * }} Candidate
 * @typedef {{
 *   element: string, element_id: string, element_class: string, position: string, substrate: string, space: string, space_id: string,
 *   space_name: string, state: "found" | "no evidence", certainty: string, in_force: Candidate | null, alternatives: Candidate[],
 *   samples: { number: string, id: string }[], doubts: string[], sentence: string
 * }} Shown
 * @typedef {{
 *   year: number | null, phase: number | null, when: string, elements: Shown[], spaces: { space: string, sentence: string }[],
 *   cautions: string[], current: boolean
 * }} AsOf
 * @typedef {{ ordinal: number, label: string, earliest: number | null, latest: number | null }} Phase
 */

export const FURTHEST = 99_999;
const USUAL = { from: 1700, to: 2000 };

/** @param {{ get(name: string): string | null }} query @returns {View} */
export function fromQuery(query) {
  const phase = /^[1-9]\d{0,4}$/.test(query.get("phase") ?? "") ? Number(query.get("phase")) : null;
  const wanted = whole(query.get("year"));
  return {
    year: phase === null && wanted !== null && Math.abs(wanted) <= FURTHEST ? wanted : null,
    phase,
    space: query.get("space") ?? "",
    prior: query.get("prior") === "span" ? "span" : "ordered",
    tentative: query.get("tentative") === "yes",
  };
}

/** @param {View} view @returns {Record<string, string | number | null>} */
export function toQuery(view) {
  return {
    year: view.phase === null ? view.year : null, phase: view.phase, space: view.space, prior: view.prior === "span" ? "span" : null,
    tentative: view.tentative ? "yes" : null,
  };
}

/**
 * The years that one may slide over: the study's own, else those of its phases, else some that are usual.
 * @param {{ first_year?: number | null, last_year?: number | null }} project @param {readonly Phase[]} phases
 */
export function extent(project, phases) {
  const named = phases.flatMap((one) => [one.earliest, one.latest]).filter((one) => one !== null);
  const from = project.first_year ?? (named.length > 0 ? Math.min(...named) : Math.min(USUAL.from, (project.last_year ?? USUAL.to) - 100));
  const to = project.last_year ?? (named.length > 0 ? Math.max(...named) : Math.max(USUAL.to, from + 100));
  return { from, to: Math.max(to, from + 1) };
}

/** What is shown where nothing was asked for: the middle of the years, so that there is something to look at. @param {{ from: number, to: number }} range */
export function middle(range) {
  return Math.round((range.from + range.to) / 2);
}

/** Elements by space, in the order in which they came. @param {readonly Shown[]} elements */
export function bySpace(elements) {
  const numbers = [...new Set(elements.map((one) => one.space))];
  return numbers.map((space) => {
    const mine = elements.filter((one) => one.space === space);
    return { space, name: mine[0]?.space_name ?? "", found: mine.filter((one) => one.state === "found"), gaps: mine.filter((one) => one.state !== "found") };
  });
}

/** How many have a finish, and how many have none. @param {AsOf} told */
export function summary(told) {
  const gaps = told.elements.filter((one) => one.state !== "found").length;
  const found = told.elements.length - gaps;
  return `As of ${told.when}: ${count(found, "element")} with a finish, ${gaps} without evidence.`;
}

/** The finish in words: kinds with their coats, lowest first. @param {Finish} finish */
export function layersInWords(finish) {
  return list(finish.layers.map((one) => (one.coats > 1 ? `${one.kind} in ${one.coats} coats` : one.kind)));
}

/** @param {Colour | null} colour */
export function colourInWords(colour) {
  if (!colour) return "no colour recorded";
  const notation = colour.munsell ? `${colour.nearest ? "about " : ""}${colour.munsell}` : "";
  return [notation, colour.named].filter(Boolean).join(", ") || "a colour outside the Munsell renotation";
}

/** L*a*b* as people write it. @param {Colour | null} colour */
export function labInWords(colour) {
  if (!colour?.lab) return "";
  const [l = 0, a = 0, b = 0] = colour.lab;
  return `L* ${l.toFixed(1)}, a* ${a.toFixed(1)}, b* ${b.toFixed(1)}`;
}

/** How surely, as a word and a number. @param {Shown} one */
export function surelyInWords(one) {
  if (!one.in_force) return "no evidence";
  return one.in_force.probability === null ? "dates leave it open" : `${one.certainty} (${percent(one.in_force.probability)})`;
}

/** @param {Candidate} one */
export function candidateInWords(one) {
  const name = one.generation === null ? "nothing that is recorded" : `generation ${one.generation}${one.label ? `, ${one.label}` : ""}`;
  const when = one.generation === null ? "" : years(one.earliest, one.latest);
  const surely = one.probability === null ? "" : `${percent(one.probability)}`;
  return [name, when, surely].filter(Boolean).join(" · ");
}

/** @param {Phase} one */
export function phaseInWords(one) {
  const when = years(one.earliest, one.latest);
  return `${one.ordinal}${one.label ? ` ${one.label}` : ""}${when ? `, ${when}` : ""}`;
}

/** @param {number} value */
export function yearInWords(value) {
  return year(value);
}
