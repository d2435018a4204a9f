/** What is drawn over a picture: black beside white, so that it is seen on any paint; numbers beside the points. */

import { refill } from "../parts/dom.js";
import { s } from "../parts/svg.js";

/** @typedef {import("../../lib/plane.js").Point} Point */

/**
 * @typedef {object} Shape in px of the picture
 * @property {"line" | "band" | "cut" | "box" | "point" | "cross"} kind
 * @property {Point[]} points
 * @property {boolean} [chosen]
 * @property {string} [label]
 * @property {string} [dash]
 */

const CROSS = 14;
const ROUND = 6;
/** Of the labels, in px. */
const LETTER = 9;
const TALL = 17;

export class Overlay {
  /** @param {(point: Point) => Point} toScreen */
  constructor(toScreen) {
    this.toScreen = toScreen;
    /** The frame, in px of the screen. @type {Point} */
    this.size = [0, 0];
    /** Where labels are: from, to and foot. @type {[number, number, number][]} */
    this.put = [];
    this.element = s("svg", { class: "overlay", "aria-hidden": "true", focusable: "false" });
  }

  /** @param {readonly Shape[]} shapes */
  draw(shapes) {
    const { width, height } = this.element.getBoundingClientRect();
    this.size = [width, height];
    this.put = [];
    refill(this.element, shapes.map((one) => this.drawn(one)));
  }

  /** @param {Shape} shape */
  drawn(shape) {
    const at = shape.points.map((one) => this.toScreen(one));
    const [first] = at;
    if (!first) return null;
    const group = s("g", { class: `shape ${shape.kind}${shape.chosen ? " chosen" : ""}` });
    const marks = shape.kind === "point" ? point(first) : shape.kind === "cross" ? cross(first) : path(at, shape);
    group.append(...marks);
    if (shape.label) group.append(label(shape, at, this.size, this.put));
    return group;
  }
}

/** @param {Point} at */
function point([x, y]) {
  return ["under", "over"].map((which) => s("circle", { class: which, cx: x.toFixed(1), cy: y.toFixed(1), r: ROUND }));
}

/** @param {Point} at */
function cross([x, y]) {
  const d = `M${x - CROSS} ${y}H${x - 4}M${x + 4} ${y}H${x + CROSS}M${x} ${y - CROSS}V${y - 4}M${x} ${y + 4}V${y + CROSS}`;
  return ["under", "over"].map((which) => s("path", { class: which, d }));
}

/** @param {readonly Point[]} at @param {Shape} shape */
function path(at, shape) {
  const closed = shape.kind === "band" || shape.kind === "box";
  const d = `M${at.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}${closed ? "Z" : ""}`;
  return ["under", "over"].map((which) => s("path", { class: which, d, "stroke-dasharray": which === "over" ? (shape.dash ?? null) : null }));
}

/**
 * Beside its shape; where that is in view, all of the label is, and upon no other label.
 * @param {Shape} shape @param {readonly Point[]} at @param {Point} size @param {[number, number, number][]} put
 */
function label(shape, at, [wide, high], put) {
  const many = at.length;
  const text = shape.label ?? "";
  if (shape.kind === "band" || shape.kind === "box") {
    const [x, y] = [at.reduce((sum, one) => sum + one[0], 0) / many, at.reduce((sum, one) => sum + one[1], 0) / many];
    return s("text", { x: x.toFixed(1), y: (y + 4).toFixed(1), "text-anchor": "middle" }, text);
  }
  const [x, y] = /** @type {Point} */ (at.at(-1));
  const inView = x >= 0 && y >= 0 && x <= wide && y <= high;
  const long = text.length * LETTER;
  // To the left of what lies so near the right side that it would be cut.
  const left = inView && x + 10 + long > wide;
  const from = left ? x - 10 - long : x + 10;
  let foot = inView ? Math.max(TALL, y - 8) : y - 8;
  while (put.some(([low, most, beside]) => from < most && from + long > low && Math.abs(foot - beside) < TALL)) foot += TALL;
  put.push([from, from + long, foot]);
  return s("text", { x: (left ? x - 10 : x + 10).toFixed(1), y: foot.toFixed(1), "text-anchor": left ? "end" : "start" }, text);
}
