/** A layer of the chart in words: what it is, where it stands, and all that is known of why. */

import { distinctness, placement } from "../confidence.js";
import { sentence as rulingSentence } from "../rulings.js";
import { isWeak, share, uvWords } from "./marks.js";

/** @typedef {import("../types.js").Cell} Cell */
/** @typedef {import("../types.js").Chart} Chart */
/** @typedef {import("../types.js").Generation} Generation */
/** @typedef {import("../types.js").Ruling} Ruling */

/** Row, column, value and state, for who hears the chart. @param {Cell} cell */
export function heard(cell) {
  const value = [cell.kind, cell.completeness === "present" ? "" : cell.completeness, cell.colour, cell.munsell, cell.in_gamut ? "" : "outside what a screen can show", uvWords(cell)];
  return [`${cell.layer}`, value.filter(Boolean).join(", "), stands(cell)].filter(Boolean).join("; ");
}

/** Where it stands, how surely, and what comes next. @param {Cell} cell */
export function stands(cell) {
  if (cell.generation === null) return "not placed";
  const sure = cell.held ? "held by a person" : cell.confidence === null ? "" : `${share(cell.confidence)} sure`;
  const second = cell.runner_up !== null && !cell.held ? `otherwise generation ${cell.runner_up}${cell.runner_up_confidence === null ? "" : ` (${share(cell.runner_up_confidence)})`}` : "";
  return [`generation ${cell.generation}`, sure, second].filter(Boolean).join(", ");
}

/**
 * Why a layer stands where it does: its probability, the next best, the layers beneath and above it, the joints of its generation, and rulings.
 * @param {Cell} cell
 * @param {Chart} chart
 * @param {readonly Ruling[]} rulings
 * @returns {string[]}
 */
export function why(cell, chart, rulings) {
  const said = [placed(cell)];
  if (cell.generation !== null && !cell.held && cell.runner_up !== null && cell.runner_up_confidence !== null) {
    said.push(`The next likeliest is generation ${cell.runner_up}, with ${share(cell.runner_up_confidence)}.`);
  }
  said.push(...neighbours(cell, chart), ...joints(cell, chart), ...rulings.filter((one) => concerns(one, cell)).map(ruled));
  return said;
}

/** @param {Cell} cell */
function placed(cell) {
  if (cell.generation === null) return "It is placed in no generation yet: its space was not correlated since it was entered, or a hold on it was withdrawn.";
  if (cell.held) return `A person holds it in generation ${cell.generation}; the correlation obeys.`;
  if (cell.confidence === null) return `It is placed in generation ${cell.generation}; no probability was computed.`;
  return `The correlation places it in generation ${cell.generation}: ${placement(cell.confidence)}, ${share(cell.confidence)}, its sample being weighed against all others.`;
}

/** @param {Cell} cell @param {Chart} chart */
function neighbours(cell, chart) {
  const beside = (/** @type {number} */ step) => chart.cells.find((one) => one.sample === cell.sample && one.position === cell.position + step);
  const told = (/** @type {Cell | undefined} */ other, /** @type {string} */ side) => {
    if (!other) return side === "below" ? "Beneath it in its sample lies no other layer." : "Above it in its sample lies no other layer.";
    const where = other.generation === null ? "placed in none" : other.generation === cell.generation ? "of the same generation" : `of generation ${other.generation}`;
    return `${side === "below" ? "Beneath" : "Above"} it lies ${other.layer} (${other.kind}), ${where}${side === "below" ? ": it cannot be older than that" : ": it cannot be younger than that"}.`;
  };
  return [told(beside(-1), "below"), told(beside(1), "above")];
}

/** @param {Cell} cell @param {Pick<Chart, "generations">} chart */
function joints(cell, chart) {
  const at = (/** @type {number} */ ordinal) => chart.generations.find((one) => one.ordinal === ordinal);
  if (cell.generation === null) return [];
  const [own, next] = [at(cell.generation), at(cell.generation + 1)];
  return [own && joint(own), next && joint(next)].filter((one) => typeof one === "string");
}

/** A weak joint below a generation, in words. @param {Generation} generation */
function joint(generation) {
  if (!isWeak(generation.distinctness) || generation.distinctness === null) return null;
  return `Generations ${generation.ordinal - 1} and ${generation.ordinal} may be one campaign: ${share(generation.distinctness)} that they are two.`;
}

/** How a generation stands to the one below it. @param {Generation} generation */
export function jointWords(generation) {
  if (generation.ordinal === 1) return "the oldest";
  return `${distinctness(generation.distinctness)}${generation.distinctness === null ? "" : `, ${share(generation.distinctness)}`}`;
}

/** @param {Ruling} ruling @param {Pick<Cell, "layer_id">} cell */
export function concerns(ruling, cell) {
  return ruling.first_layer === cell.layer_id || ruling.second_layer === cell.layer_id;
}

/** @param {Ruling} one */
function ruled(one) {
  return `${one.created_by} ruled that ${rulingSentence(one)}${one.reason ? `: “${one.reason}”` : ""}.`;
}
