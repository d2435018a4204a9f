/** Putting points on a picture: clicked or dragged, or put at the cross by keyboard; and the same points as numbers that are typed and stepped. */

import { distance } from "../../lib/plane.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { announce } from "../parts/say.js";

/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {import("./overlay.js").Shape} Shape */
/** @typedef {import("./viewer.js").Tool} Tool */

/** For the help. @type {readonly (readonly [key: string, text: string])[]} */
export const POINT_KEYS = [
  ["arrow keys", "while points are put: move the cross by 1 px of the picture or of the screen, whichever is more; with Shift by 10"],
  ["Enter", "put a point at the cross; or take the chosen point there"],
  ["N, P", "choose the next or previous point, for Enter to move it; Escape lets go of it"],
  ["Backspace", "take the last point away, or the chosen one"],
];

/** @implements {Tool} */
export class PointsTool {
  /**
   * @param {{ most: number, label: string, changed: () => void, drawn: (points: readonly Point[]) => Shape[], redraw: () => void, done?: () => void }} options
   * most is Infinity for as many as one likes
   * @param {readonly Point[]} [points]
   */
  constructor(options, points = []) {
    this.options = options;
    /** @type {Point[]} */
    this.points = [...points];
    this.cross = true;
    this.held = -1;
    this.chosen = -1;
    this.list = h("ol", { class: "pointlist" });
    this.element = h("fieldset", { class: "points" }, h("legend", null, options.label), this.list);
    this.show();
  }

  /** @returns {Shape[]} */
  shapes() {
    return [...this.options.drawn(this.points), ...this.points.map((one, at) => /** @type {Shape} */ ({ kind: "point", points: [one], label: String(at + 1), chosen: at === this.chosen || at === this.held }))];
  }

  /** @param {Point} point */
  clicked(point) {
    if (this.points.length < this.options.most) this.put([...this.points, point], `Point ${this.points.length + 1} put.`);
    else announce("All points are there. Drag one, or choose it and press Enter where it belongs.");
  }

  /** @param {Point} point @param {number} near */
  taken(point, near) {
    const offs = this.points.map((one) => distance(one, point));
    const best = Math.min(...offs);
    this.held = best <= near ? offs.indexOf(best) : -1;
    if (this.held >= 0) this.chosen = this.held;
    return this.held >= 0;
  }

  /** @param {Point} point */
  dragged(point) {
    if (this.held < 0) return;
    this.points = this.points.with(this.held, point);
    this.options.changed();
  }

  dropped() {
    this.held = -1;
    this.show();
  }

  /** @param {KeyboardEvent} event @param {Point} cross */
  key({ key }, cross) {
    const many = this.points.length;
    if (key === "Enter") {
      if (this.chosen >= 0 && this.chosen < many) this.put(this.points.with(this.chosen, cross), `Point ${this.chosen + 1} moved.`);
      else if (many > 0 && distance(/** @type {Point} */ (this.points.at(-1)), cross) < 0.5 && this.options.done) this.options.done();
      else this.clicked(cross);
    } else if ((key === "Backspace" || key === "Delete") && many > 0) this.drop(this.chosen >= 0 ? this.chosen : many - 1);
    else if (/^[nN]$/.test(key) && many > 0) this.choose((this.chosen + 1) % many);
    else if (/^[pP]$/.test(key) && many > 0) this.choose((this.chosen + many - (this.chosen < 0 ? 0 : 1)) % many);
    else if (key === "Escape" && this.chosen >= 0) this.choose(-1);
    else return false;
    return true;
  }

  /** @param {number} at */
  choose(at) {
    this.chosen = at;
    announce(at < 0 ? "No point is chosen." : `Point ${at + 1} of ${this.points.length} is chosen.`);
    this.options.redraw();
  }

  /** @param {number} at */
  drop(at) {
    this.chosen = -1;
    this.put(this.points.toSpliced(at, 1), `Point ${at + 1} taken away.`);
  }

  /** @param {readonly Point[]} points @param {string} said */
  put(points, said) {
    this.points = points.map(([x, y]) => /** @type {Point} */ ([tenth(x), tenth(y)]));
    this.show();
    announce(said);
    this.options.changed();
    this.options.redraw();
  }

  /** The points as numbers. */
  show() {
    const within = this.list.contains(document.activeElement);
    const rows = [...this.list.children];
    if (within && rows.length === this.points.length) {
      this.fillIn();
      return;
    }
    refill(this.list, this.points.length === 0 ? h("li", { class: "empty" }, "None yet. Click the picture, or go to it and press Enter at the cross.") : this.points.map((one, at) => this.row(one, at)));
  }

  fillIn() {
    for (const [at, input] of [...this.list.querySelectorAll("input")].entries()) {
      if (input !== document.activeElement) input.value = String(tenth(this.points[Math.floor(at / 2)]?.[/** @type {0 | 1} */ (at % 2)] ?? 0));
    }
  }

  /** @param {Point} point @param {number} at */
  row(point, at) {
    const number = (/** @type {0 | 1} */ axis, /** @type {string} */ text) => {
      const id = newId("point");
      const input = h("input", { type: "number", id, step: 1, value: tenth(point[axis]), "aria-label": `Point ${at + 1}, px from the ${axis === 0 ? "left" : "top"}`, onfocus: () => {
        this.chosen = at;
        this.options.redraw();
      }, onblur: () => {
        // What is chosen while its number is typed is not what Enter moves on the picture afterwards.
        this.chosen = -1;
        this.options.redraw();
      }, oninput: () => {
        const value = Number(input.value);
        if (input.value === "" || !Number.isFinite(value)) return;
        const old = this.points[at] ?? point;
        this.points = this.points.with(at, axis === 0 ? [value, old[1]] : [old[0], value]);
        this.options.changed();
        this.options.redraw();
      } });
      return [h("span", { "aria-hidden": "true" }, text), input];
    };
    return h("li", null, number(0, "x"), number(1, "y"), button("Take away", () => this.drop(at), { class: "quiet", "aria-label": `Take away point ${at + 1}` }));
  }
}

/** @param {number} value */
function tenth(value) {
  return Math.round(value * 10) / 10;
}
