/** Where a person puts the boundaries along a line: moved, split and merged, undone and done again. All places are in px along the path. */

import { Steps } from "./steps.js";

/** @typedef {import("./types.js").ReadLayer} ReadLayer */

/** Boundaries are at least so far apart. */
export const LEAST = 1;

/** The boundaries of what was read: the lower face of each layer, and the upper one of the last. @param {readonly ReadLayer[]} layers @returns {number[]} */
export function cutsOf(layers) {
  const own = layers.filter((one) => one.end === "");
  return own.length === 0 ? [] : [/** @type {ReadLayer} */ (own[0]).from_px, ...own.map((one) => one.to_px)];
}

/** @param {number} value */
function tenth(value) {
  return Math.round(value * 10) / 10;
}

export class Cuts {
  /** @param {readonly number[]} cuts @param {number} long the length of the path */
  constructor(cuts, long) {
    this.long = long;
    /** @type {Steps<number[]>} */
    this.steps = new Steps([...cuts]);
  }

  get all() {
    return this.steps.now;
  }

  /** How far a boundary may go. @param {number} at @returns {[number, number]} */
  limits(at) {
    return [at === 0 ? 0 : (this.all[at - 1] ?? 0) + LEAST, at === this.all.length - 1 ? this.long : (this.all[at + 1] ?? this.long) - LEAST];
  }

  /** Put a boundary somewhere, as far as its neighbours let it. @param {number} at @param {number} to */
  put(at, to) {
    const before = this.all[at];
    if (before === undefined) return "There is no such boundary.";
    const [least, most] = this.limits(at);
    const wanted = tenth(Math.min(most, Math.max(least, to)));
    if (wanted === before) return to === before ? "" : "It cannot go farther: the next boundary is there.";
    return this.steps.done(this.all.with(at, wanted), `Boundary ${at + 1} moved to ${wanted} px.`, `boundary ${at}`);
  }

  /** @param {number} at @param {number} by */
  move(at, by) {
    return this.put(at, (this.all[at] ?? 0) + by);
  }

  /** Part a layer (counted from 1) at a place, or in its middle. @param {number} layer @param {number} [place] */
  split(layer, place) {
    const [from, to] = [this.all[layer - 1], this.all[layer]];
    if (from === undefined || to === undefined) return "There is no such layer.";
    const at = tenth(place ?? (from + to) / 2);
    if (at - from < LEAST || to - at < LEAST) return "It is too thin there to be split.";
    return this.steps.done([...this.all.slice(0, layer), at, ...this.all.slice(layer)], `Layer ${layer} split at ${at} px.`);
  }

  /** Take the boundary between a layer and the one above away; the outermost of all end the section there. @param {number} at */
  merge(at) {
    if (this.all[at] === undefined) return "There is no such boundary.";
    if (this.all.length <= 2) return "One layer is the least.";
    const said = at === 0 ? "Layer 1 left out: it is no layer." : at === this.all.length - 1 ? `Layer ${at} left out: it is no layer.` : `Layers ${at} and ${at + 1} merged.`;
    return this.steps.done(this.all.toSpliced(at, 1), said);
  }

  undo() {
    return this.steps.undo();
  }

  redo() {
    return this.steps.redo();
  }

  /** The boundary nearest to a place. @param {number} far */
  nearest(far) {
    let best = 0;
    for (const [at, one] of this.all.entries()) if (Math.abs(one - far) < Math.abs((this.all[best] ?? 0) - far)) best = at;
    return best;
  }

  /** Which layer (from 1) a place lies in; 0 for none. @param {number} far */
  layerAt(far) {
    const above = this.all.findIndex((one) => one > far);
    return above < 1 ? 0 : above;
  }
}
