/** Which layers are chosen, and which ruling or deed that allows. */

import { list } from "../../lib/words.js";

/** @typedef {import("../types.js").Cell} Cell */
/** @typedef {import("../types.js").Chart} Chart */
/** @typedef {import("../types.js").Ruling} Ruling */
/** @typedef {"tie" | "bar" | "hold"} RulingKind */

/**
 * A ruling that is proposed and not kept.
 * @typedef {{ kind: RulingKind, first: string, first_id: string, second: string | null, second_id: string | null,
 *   generation: number | null, generation_id: string | null, reason: string }} Proposal
 */

/** Why a ruling cannot be given on so many layers; '' where it can. @param {RulingKind} kind @param {readonly Cell[]} chosen @param {Pick<Chart, "generations">} chart */
export function hindrance(kind, chosen, chart) {
  if (kind === "tie") return chosen.length >= 2 ? "" : "Select two or more layers to tie them.";
  if (kind === "bar") return chosen.length === 2 ? "" : "A bar is between two layers: select just two.";
  if (chosen.length === 0) return "Select the layers to hold, or go to one.";
  return chart.generations.length > 0 ? "" : "There is no generation yet to hold a layer in: correlate this space.";
}

/** Why the chosen layers cannot be split off; '' where they can. @param {readonly Cell[]} chosen @param {Pick<Chart, "cells">} chart @param {number} ordinal */
export function splitHindrance(chosen, chart, ordinal) {
  const inside = chosen.filter((cell) => cell.generation === ordinal).length;
  if (inside === 0) return "Select those of its layers that are to be a generation of their own.";
  if (inside < chosen.length) return `${chosen.length - inside} of the selected layers are of other generations.`;
  return inside < chart.cells.filter((cell) => cell.generation === ordinal).length ? "" : "All its layers are selected, so nothing would be left.";
}

/**
 * The rulings that a word on several layers stands for: a tie joins each to the first, a hold is one for each.
 * @param {RulingKind} kind
 * @param {readonly Cell[]} chosen
 * @param {{ ordinal: number, id: string } | null} generation
 * @param {string} reason
 * @returns {Proposal[]}
 */
export function proposals(kind, chosen, generation, reason) {
  const ruling = (/** @type {Cell} */ first, /** @type {Cell | null} */ second) => ({
    kind, first: first.layer, first_id: first.layer_id, second: second?.layer ?? null, second_id: second?.layer_id ?? null,
    generation: generation?.ordinal ?? null, generation_id: generation?.id ?? null, reason,
  });
  if (kind === "hold") return chosen.map((cell) => ruling(cell, null));
  const [first, ...others] = chosen;
  return first ? others.map((cell) => ruling(first, cell)) : [];
}

/** What a proposal says. @param {Proposal} one */
export function told(one) {
  if (one.kind === "hold") return `${one.first} belongs to generation ${one.generation}`;
  return `${one.first} and ${one.second} ${one.kind === "tie" ? "are" : "are not"} of one campaign`;
}

/** The chosen layers in a few words. @param {readonly Cell[]} chosen */
export function chosenWords(chosen) {
  if (chosen.length === 0) return "No layer selected.";
  const names = chosen.map((cell) => cell.layer);
  return chosen.length > 6 ? `${chosen.length} layers selected.` : `Selected: ${list(names)}.`;
}

/** What the preview is asked with. @param {readonly Proposal[]} some */
export function asked(some) {
  return some.map(({ kind, first, second, generation }) => ({ kind, first, second, generation }));
}

/**
 * What keeps them: a new ruling each, but a hold of a layer that is held already changes that hold.
 * @param {readonly Proposal[]} some
 * @param {readonly Ruling[]} standing
 */
export function kept(some, standing) {
  return some.map((one) => {
    const held = one.kind === "hold" ? standing.find((ruling) => ruling.kind === "hold" && ruling.first_layer === one.first_id) : undefined;
    if (held) return { op: /** @type {const} */ ("change"), id: held.id, version: held.version, values: { generation: one.generation_id, reason: one.reason } };
    const other = one.kind === "hold" ? { generation: one.generation_id } : { second_layer: one.second_id };
    return { op: /** @type {const} */ ("create"), values: { kind: one.kind, first_layer: one.first_id, ...other, reason: one.reason } };
  });
}

/** Keep of a choice what is still there. @param {readonly string[]} ids @param {Pick<Chart, "cells">} chart */
export function still(ids, chart) {
  const there = new Set(chart.cells.map((cell) => cell.layer_id));
  return ids.filter((id) => there.has(id));
}
