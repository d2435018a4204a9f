/** Putting points on a picture: clicked, dragged or stepped by keys, put at the cross by keyboard; and the same points as numbers that are typed. */

import { distance } from "../../lib/plane.js";
import { Points } from "../../model/pictures/points.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { announce } from "../parts/say.js";

/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {import("./overlay.js").Shape} Shape */
/** @typedef {import("./tool.js").Tool} Tool */

/** For the help. @type {readonly (readonly [key: string, text: string])[]} */
export const POINT_KEYS = [
  ["arrow keys", "while points are put: move the cross by 1 px of the picture or of the screen, whichever is more; with Shift by 10; where a point is chosen, move that"],
  ["Enter", "put a point at the cross; or let go of the chosen point"],
  ["N, P", "choose the next or previous point; Escape lets go of it"],
  ["Backspace", "take the last point away, or the chosen one"],
  ["A", "on a line: put a point in the middle of the leg after the chosen point, or of the last leg"],
  ["Page Up, Page Down", "make the strip of a line wider or narrower by 1 px; with Shift by 10"],
  ["Z, Y", "undo what was done to the points, and do it again"],
];
const WAYS = /** @type {Record<string, Point>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });

/**
 * @typedef {object} Options
 * @property {string} label
 * @property {number} [most] as many as one likes if not said
 * @property {boolean} [path] whether the points are joined, so that one may be put between two
 * @property {number} [width] that of the strip along a path, if it has one
 * @property {boolean} [grows] whether a point put beside a path goes to its nearer end, not to its last
 * @property {import("../../model/pictures/points.js").Size | null} [within] the picture
 * @property {() => void} changed
 * @property {(points: readonly Point[]) => Shape[]} drawn
 * @property {() => void} redraw
 * @property {() => void} [done] Enter where the last point was put
 */

/** @implements {Tool} */
export class PointsTool {
  /** @param {Options} options @param {readonly Point[]} [points] */
  constructor(options, points = []) {
    this.options = options;
    this.model = new Points(points, { most: options.most ?? Infinity, width: options.width ?? null, within: options.within ?? null });
    /** A path may be drawn on the other of two registered pictures as well. */
    this.shared = options.path === true;
    /** @type {import("../../model/pictures/points.js").Hit} */
    this.held = null;
    this.chosen = -1;
    this.list = h("ol", { class: "pointlist" });
    this.element = h("fieldset", { class: "points" }, h("legend", null, options.label), this.list);
    this.show();
  }

  get points() {
    return this.model.all;
  }

  get cross() {
    return this.chosen < 0;
  }

  /** @returns {Shape[]} */
  shapes() {
    return [...this.options.drawn(this.points), ...this.points.map((one, at) => /** @type {Shape} */ ({ kind: "point", points: [one], label: String(at + 1), chosen: at === this.chosen }))];
  }

  /** @param {Point} point */
  clicked(point) {
    this.chosen = -1;
    this.did(this.model.add(point, this.options.grows ? this.model.end(point) : undefined));
  }

  /** @param {Point} point @param {number} near */
  taken(point, near) {
    this.held = this.model.hit(point, near, this.options.path === true);
    if (this.held?.what === "point") this.chosen = this.held.at;
    return this.held !== null;
  }

  /** @param {Point} point */
  dragged(point) {
    const { held, model } = this;
    if (!held) return;
    // A leg that is drawn aside is bent: it has a point more.
    if (held.what === "leg") {
      announce(model.add(point, held.at + 1));
      this.held = { what: "point", at: held.at + 1 };
      this.chosen = held.at + 1;
    } else if (held.what === "point") model.move(held.at, point);
    else model.spread(point);
    this.show();
    this.options.changed();
  }

  dropped() {
    this.held = null;
    this.model.steps.rest();
    this.show();
  }

  /** @param {KeyboardEvent} event @param {Point} cross @param {number} [unit] px of the picture for one step */
  key({ key, shiftKey }, cross, unit = 1) {
    const { model, chosen, options } = this;
    const many = this.points.length;
    const by = shiftKey ? 10 : 1;
    const way = WAYS[key];
    const lower = key.toLowerCase();
    if (way && chosen >= 0) this.did(model.step(chosen, way[0] * by * unit, way[1] * by * unit));
    else if (key === "Enter" && chosen >= 0) this.choose(-1);
    else if (key === "Enter" && many > 0 && options.done && distance(/** @type {Point} */ (this.points.at(-1)), cross) < 0.5) options.done();
    else if (key === "Enter") this.clicked(cross);
    else if ((key === "Backspace" || key === "Delete") && many > 0) this.drop(chosen >= 0 ? chosen : many - 1);
    else if (lower === "n" && many > 0) this.choose((chosen + 1) % many);
    else if (lower === "p" && many > 0) this.choose((chosen + many - (chosen < 0 ? 0 : 1)) % many);
    else if (key === "Escape" && chosen >= 0) this.choose(-1);
    else if (lower === "a" && options.path && many > 1) this.halve(chosen < 0 ? many - 2 : chosen);
    else if ((key === "PageUp" || key === "PageDown") && model.width !== null) this.did(model.widen(model.width + (key === "PageUp" ? by : -by)));
    else if (lower === "z") this.back(() => model.undo());
    else if (lower === "y") this.back(() => model.redo());
    else return false;
    return true;
  }

  /** @param {() => string} deed */
  back(deed) {
    this.chosen = -1;
    this.did(deed());
  }

  /** @param {number} at */
  choose(at) {
    this.chosen = at;
    this.model.steps.rest();
    announce(at < 0 ? "No point is chosen." : `Point ${at + 1} of ${this.points.length} is chosen.`);
    this.options.redraw();
  }

  /** Put a point in the middle of a leg. @param {number} at the point at which it begins */
  halve(at) {
    const leg = Math.min(at, this.points.length - 2);
    this.chosen = leg + 1;
    this.did(this.model.halve(leg));
  }

  /** @param {number} at */
  drop(at) {
    this.chosen = -1;
    this.did(this.model.take(at));
  }

  /** @param {string} said */
  did(said) {
    this.show();
    announce(said);
    this.options.changed();
    this.options.redraw();
  }

  /** The points as numbers. What has the focus keeps it; where it went with its point, the next one has it. */
  show() {
    const fields = () => [...this.list.querySelectorAll("input, button")];
    const at = fields().indexOf(/** @type {Element} */ (document.activeElement));
    const { points } = this;
    if (this.list.querySelectorAll("li:not(.empty)").length !== points.length || points.length === 0) {
      refill(this.list, points.length === 0 ? h("li", { class: "empty" }, "None yet. Click the picture, or go to it and press Enter at the cross.") : points.map((one, place) => this.row(one, place)));
      const again = at < 0 ? null : (fields()[at] ?? fields().at(-1));
      if (again instanceof HTMLElement) again.focus();
      return;
    }
    for (const [place, input] of [...this.list.querySelectorAll("input")].entries()) {
      const value = String(tenth(points[Math.floor(place / 2)]?.[/** @type {0 | 1} */ (place % 2)] ?? 0));
      if (input !== document.activeElement) input.value = value;
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
        // What is chosen while its number is typed is not what keys move on the picture afterwards.
        this.chosen = -1;
        this.model.steps.rest();
        input.value = String(tenth(this.points[at]?.[axis] ?? 0));
        this.options.redraw();
      }, oninput: () => {
        const value = Number(input.value);
        if (input.value === "" || !Number.isFinite(value)) return;
        const old = this.points[at] ?? point;
        this.model.move(at, axis === 0 ? [value, old[1]] : [old[0], value]);
        this.options.changed();
        this.options.redraw();
      } });
      return [h("span", { "aria-hidden": "true" }, text), input];
    };
    const between = this.options.path && at < this.points.length - 1;
    return h("li", null, number(0, "x"), number(1, "y"), between && button("Add after", () => this.halve(at), { class: "quiet", "aria-label": `Add after point ${at + 1}` }),
      button("Take away", () => this.drop(at), { class: "quiet", "aria-label": `Take away point ${at + 1}` }));
  }
}

/** @param {number} value */
function tenth(value) {
  return Math.round(value * 10) / 10;
}
