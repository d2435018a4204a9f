/** What a preview foretells, marked layer by layer and told in sentences. */

import { count, list } from "../../lib/words.js";
import { share } from "./marks.js";

/**
 * @typedef {{ layer: string, layer_id: string, from: number | null, to: number | null, new: number | null, confidence_from: number | null, confidence_to: number }} Change
 * @typedef {{ space: string, current: boolean, approximate?: boolean, refused: string | null, chain: string[], generations: number, changes: Change[], gone: number[],
 *   new_generations: { new: number, above: number }[],
 *   counts: { layers: number, layers_changed: number, generations_now: number, surer: number, less_sure: number } }} Preview
 */

/** Where a layer would go. @param {Change} change @param {Pick<Preview, "new_generations">} preview */
export function destination(change, preview) {
  if (change.to !== null) return `generation ${change.to}`;
  const found = preview.new_generations.find((one) => one.new === change.new);
  const which = preview.new_generations.length > 1 ? `new generation no. ${change.new}` : "a new generation";
  return found ? `${which}, ${found.above ? `above ${found.above}` : "below all others"}` : which;
}

/** A short mark for a cell. @param {Change} change */
export function mark(change) {
  return change.to !== null ? `→ ${change.to}` : "→ new";
}

/** The changes by layer. @param {Preview} preview @returns {Map<string, Change>} */
export function byLayer(preview) {
  return new Map(preview.changes.map((one) => [one.layer_id, one]));
}

/** One change as a sentence. @param {Change} change @param {Pick<Preview, "new_generations">} preview */
export function sentence(change, preview) {
  const from = change.from === null ? "which is placed in none" : `from generation ${change.from}`;
  const sure = change.confidence_from === null ? share(change.confidence_to) : `${share(change.confidence_to)} instead of ${share(change.confidence_from)}`;
  return `${change.layer}, ${from}, to ${destination(change, preview)} (${sure} sure)`;
}

/** All of it in a few sentences. @param {Preview} preview @returns {string[]} */
export function summary(preview) {
  if (preview.refused) return [preview.refused];
  const { counts } = preview;
  const moved = counts.layers_changed === 0 ? "No layer would move." : `${count(counts.layers_changed, "layer")} of ${counts.layers} would move.`;
  const said = [moved];
  if (preview.generations !== counts.generations_now) said.push(`There would be ${count(preview.generations, "generation")} instead of ${counts.generations_now}.`);
  if (preview.gone.length) said.push(`Nothing would be left in generation ${list(preview.gone.map(String))}.`);
  if (counts.surer || counts.less_sure) said.push(`Of those that stay, ${count(counts.surer, "layer")} would be clearly surer and ${counts.less_sure} clearly less sure.`);
  if (preview.approximate) said.push("This is an approximation, quicker than the correlation itself; where two places are nearly as likely, that may choose the other.");
  if (!preview.current) said.push("The record has changed since it was last correlated; what that brings is among these changes.");
  return said;
}
