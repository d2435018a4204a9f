/** Points that a person puts on a picture, perhaps as a path with a width: put, moved, taken away, undone. All places are in px of the picture. */

import { along, distance, nearest } from "../../lib/plane.js";
import { Steps } from "./steps.js";

/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {{ width: number, height: number }} Size */
/** @typedef {{ what: "point", at: number } | { what: "leg", at: number } | { what: "side" } | null} Hit what lies at a place; a leg is named by the point at which it begins */

/** As little as a strip may be wide, and as much. */
const [NARROWEST, WIDEST] = [1, 2000];

/** @param {number} value */
function tenth(value) {
  return Math.round(value * 10) / 10;
}

export class Points {
  /**
   * @param {readonly Point[]} points
   * @param {{ most?: number, width?: number | null, within?: Size | null }} [options] width is that of the strip along a path, null where there is none
   */
  constructor(points, { most = Infinity, width = null, within = null } = {}) {
    this.most = most;
    this.within = within;
    /** @type {Steps<{ points: readonly Point[], width: number | null }>} */
    this.steps = new Steps({ points: [...points], width });
  }

  get all() {
    return this.steps.now.points;
  }

  get width() {
    return this.steps.now.width;
  }

  /** Within the picture, to a tenth of a px. @param {Point} point @returns {Point} */
  kept([x, y]) {
    const { width = Infinity, height = Infinity } = this.within ?? {};
    return [tenth(Math.min(width, Math.max(0, x))), tenth(Math.min(height, Math.max(0, y)))];
  }

  /** @param {readonly Point[]} points @param {string} said @param {string} [run] */
  done(points, said, run = "") {
    return this.steps.done({ points, width: this.width }, said, run);
  }

  /** @param {Point} point @param {number} [at] before which point it comes; at the end if not said */
  add(point, at = this.all.length) {
    if (this.all.length >= this.most) return "All points are there. Drag one, or choose it and move it by the arrow keys.";
    return this.done(this.all.toSpliced(at, 0, this.kept(point)), at < this.all.length ? `Point ${at + 1} put between.` : `Point ${at + 1} put.`);
  }

  /** Put a point in the middle of the leg that begins at a point. @param {number} at */
  halve(at) {
    const [from, to] = [this.all[at], this.all[at + 1]];
    if (!from || !to) return "There is no leg to put a point on.";
    return this.add([(from[0] + to[0]) / 2, (from[1] + to[1]) / 2], at + 1);
  }

  /** @param {number} at @param {Point} point */
  move(at, point) {
    const [before, wanted] = [this.all[at], this.kept(point)];
    if (!before) return "There is no such point.";
    if (before[0] === wanted[0] && before[1] === wanted[1]) return "It cannot go farther: the picture ends there.";
    return this.done(this.all.with(at, wanted), `Point ${at + 1} moved to ${wanted[0]} px from the left, ${wanted[1]} px from the top.`, `point ${at}`);
  }

  /** @param {number} at @param {number} right @param {number} down */
  step(at, right, down) {
    const [x, y] = this.all[at] ?? [0, 0];
    return this.move(at, [x + right, y + down]);
  }

  /** @param {number} at */
  take(at) {
    return this.all[at] ? this.done(this.all.toSpliced(at, 1), `Point ${at + 1} taken away.`) : "There is no such point.";
  }

  /** @param {number} to */
  widen(to) {
    const width = tenth(Math.min(WIDEST, Math.max(NARROWEST, to)));
    if (width === this.width) return "";
    return this.steps.done({ points: this.all, width }, `The strip is ${width} px wide.`, "width");
  }

  /** Another width without a step of its own, as long as nobody chose one. @param {number} width */
  suit(width) {
    this.steps.now.width = width;
  }

  /** As wide as it takes for a side of the strip to go through a place. @param {Point} point */
  spread(point) {
    return this.widen(2 * nearest(this.all, point).off);
  }

  undo() {
    return this.steps.undo();
  }

  redo() {
    return this.steps.redo();
  }

  /** The end of a path that is nearer to a place: before which point one put there would come. @param {Point} point */
  end(point) {
    const [first, last] = [this.all[0], this.all.at(-1)];
    return this.all.length > 1 && first && last && distance(first, point) < distance(last, point) ? 0 : this.all.length;
  }

  /** What lies at a place. @param {Point} point @param {number} near how far beside it counts @param {boolean} path whether the points are joined */
  hit(point, near, path) {
    const offs = this.all.map((one) => distance(one, point));
    const best = Math.min(...offs);
    if (best <= near) return /** @type {Hit} */ ({ what: "point", at: offs.indexOf(best) });
    if (!path || this.all.length < 2) return null;
    const { far, off } = nearest(this.all, point);
    if (off <= near / 2) return /** @type {Hit} */ ({ what: "leg", at: this.legAt(far) });
    const foot = along(this.all, far).point;
    // Beyond its ends the strip has no side.
    const beyond = distance(foot, /** @type {Point} */ (this.all[0])) < 1e-6 || distance(foot, /** @type {Point} */ (this.all.at(-1))) < 1e-6;
    return this.width !== null && !beyond && Math.abs(off - this.width / 2) <= near / 2 ? /** @type {Hit} */ ({ what: "side" }) : null;
  }

  /** On which leg a place along the path lies. @param {number} far */
  legAt(far) {
    let before = 0;
    for (let at = 0; at < this.all.length - 2; at += 1) {
      before += distance(/** @type {Point} */ (this.all[at]), /** @type {Point} */ (this.all[at + 1]));
      if (far <= before) return at;
    }
    return Math.max(0, this.all.length - 2);
  }
}

/** How large a picture is, if that is known. @param {{ width: number | null, height: number | null }} picture @returns {Size | null} */
export function sizeOf({ width, height }) {
  return width && height ? { width, height } : null;
}
