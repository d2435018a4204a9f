/** The axis, and on it phases, evidence and generations: one drawing for the structure and one for each space, so that they part well on paper. */

import { year } from "../../lib/words.js";
import * as model from "../../model/years.js";
import { h } from "../parts/dom.js";
import { s } from "../parts/svg.js";

/** @typedef {import("../../model/years.js").Range} Range */
/** @typedef {import("../../model/years.js").Dated} Dated */
/** @typedef {import("../../model/years.js").Mark} Mark */
/** @typedef {import("../../model/years.js").View} View */
/** @typedef {{ ordinal: number, label: string, earliest: number | null, latest: number | null }} Phase */
/** @typedef {{ range: Range, width: number, left: number, view: View, labels: Map<string, string> }} Frame */

export const ROW = 30;
const LANE = 22;
const AXIS = 26;
/** Of a generation's row: the distribution stands on the bar of its bounds. */
const DENSITY = 15;
const FOOT = 20;

/** @param {Frame} frame */
export function axis(frame) {
  return drawing(frame, AXIS, "axis", [scaleLine(frame, AXIS)]);
}

/** Phases and what bears on the whole structure. @param {Frame} frame @param {Phase[]} phases @param {Mark[]} marks */
export function structure(frame, phases, marks) {
  const height = AXIS + (phases.length + marks.length) * LANE + 4;
  return drawing(frame, height, "group", [
    printedAxis(frame), gridLines(frame, height),
    phases.map((one, index) => lane(frame, AXIS + index * LANE, `Phase ${one.ordinal}`, one.label, one.earliest, one.latest, "phase")),
    marks.map((one, index) => lane(frame, AXIS + (phases.length + index) * LANE, one.reference, said(one), ...ends(one), kind(one))),
  ]);
}

/** @param {Frame} frame @param {Mark[]} marks @param {Dated[]} generations */
export function space(frame, marks, generations) {
  const top = AXIS + marks.length * LANE;
  const height = top + generations.length * ROW + 4;
  return drawing(frame, height, "group", [
    printedAxis(frame), gridLines(frame, height),
    marks.map((one, index) => lane(frame, AXIS + index * LANE, one.reference, said(one), ...ends(one), kind(one))),
    generations.map((one, index) => generation(frame, top + index * ROW, one)),
  ]);
}

/** What a piece of evidence bears on, short. @param {Mark} mark */
function said(mark) {
  const what = mark.generation ? `gen. ${mark.generation.slice(mark.generation.lastIndexOf("/") + 1)}` : mark.bears_on;
  return `${what}, ${mark.relation}${mark.certainty === "tentative" ? " (tentative)" : ""}`;
}

/** @param {Mark} mark */
function kind(mark) {
  return mark.certainty === "tentative" ? "mark tentative" : "mark";
}

/** A statement says one side, or both. @param {Mark} mark @returns {[number | null, number | null]} */
function ends(mark) {
  const one = mark.earliest ?? mark.latest;
  if (mark.relation === "made after") return [one, null];
  if (mark.relation === "made before") return [null, mark.latest ?? mark.earliest];
  return mark.relation === "between" ? [mark.earliest, mark.latest] : [mark.earliest ?? one, mark.latest ?? one];
}

/** @param {Frame} frame @param {number} height @param {string} name @param {import("../parts/dom.js").Child[][]} parts */
function drawing(frame, height, name, parts) {
  const width = frame.left + frame.width + 12;
  return s("svg", { class: `years ${name}`, width, height, viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true", focusable: "false" }, parts.flat(3));
}

/** @param {Frame} frame @param {number} foot */
function scaleLine(frame, foot) {
  const x = model.scale(frame.range, frame.width);
  return [
    s("line", { class: "scale", x1: frame.left, x2: frame.left + frame.width, y1: foot - 1, y2: foot - 1 }),
    ...model.ticks(frame.range, frame.width).flatMap((one) => {
      const at = frame.left + x(one.year);
      return [s("line", { class: "scale", x1: at, x2: at, y1: foot - 6, y2: foot - 1 }), s("text", { x: at, y: foot - 9, "text-anchor": "middle" }, one.text)];
    }),
  ];
}

/** On paper each drawing has its own. @param {Frame} frame */
function printedAxis(frame) {
  return [s("g", { class: "paperaxis" }, scaleLine(frame, AXIS - 2))];
}

/** @param {Frame} frame @param {number} height */
function gridLines(frame, height) {
  const x = model.scale(frame.range, frame.width);
  return model.ticks(frame.range, frame.width).map((one) => s("line", { class: "grid", x1: frame.left + x(one.year), x2: frame.left + x(one.year), y1: AXIS - 2, y2: height }));
}

/**
 * What is known of one thing: a line from its earliest to its latest, with an arrow where it goes on.
 * @param {Frame} frame @param {number} top @param {string} name @param {string} text @param {number | null} earliest @param {number | null} latest @param {string} look */
function lane(frame, top, name, text, earliest, latest, look) {
  const found = model.bar(earliest, latest, frame.range, frame.width);
  const y = top + LANE / 2;
  const from = found && frame.left + found.x;
  const to = found && frame.left + found.x + found.width;
  return s("g", { class: look }, s("title", null, `${name}: ${text}`), rowLabel(frame, name, y + 4),
    found && from !== null && to !== null && [
      look === "phase" ? s("rect", { x: from, y: top + 3, width: to - from, height: LANE - 6 }) : s("line", { class: "reach", x1: from, x2: to, y1: y, y2: y }),
      look !== "phase" && !found.openLeft && s("line", { class: "end", x1: from, x2: from, y1: y - 5, y2: y + 5 }),
      look !== "phase" && !found.openRight && s("line", { class: "end", x1: to, x2: to, y1: y - 5, y2: y + 5 }),
      look !== "phase" && found.openLeft && arrow(from, y, -1), look !== "phase" && found.openRight && arrow(to, y, 1),
      words(frame, from, to, y + 4, text, look === "phase"),
    ]);
}

/** @param {number} x @param {number} y @param {number} way */
function arrow(x, y, way) {
  return s("path", { class: "end", d: `M${x - way * 6} ${y - 4}L${x} ${y}L${x - way * 6} ${y + 4}` });
}

/** Words within a phase where there is room; beside a line on the side that has more. @param {Frame} frame @param {number} from @param {number} to @param {number} y @param {string} text @param {boolean} within */
function words(frame, from, to, y, text, within) {
  const room = text.length * 6.6 + 12;
  if (within && to - from > room) return s("text", { class: "said", x: from + 6, y }, text);
  if (frame.left + frame.width - to > room) return s("text", { class: "said", x: to + 8, y }, text);
  if (from - frame.left > room) return s("text", { class: "said", x: from - 8, y, "text-anchor": "end" }, text);
  return s("text", { class: "said halo", x: from + 8, y: y - (within ? 0 : 1) }, text);
}

/** @param {Frame} frame @param {string} text @param {number} y */
function rowLabel(frame, text, y) {
  const most = Math.floor((frame.left - 14) / 6.8);
  return s("text", { class: "name", x: 4, y }, text.length > most ? `${text.slice(0, most - 1)}…` : text);
}

/** @param {Frame} frame @param {number} top @param {Dated} one */
function generation(frame, top, one) {
  const key = model.keyOf(one);
  const label = frame.labels.get(key);
  const curve = model.curveOf(one, frame.view.prior);
  const bounds = model.bar(one.earliest, one.latest, frame.range, frame.width);
  const conflict = one.conflicts.length > 0;
  const name = `${conflict ? "▲ " : ""}${one.ordinal}${label ? ` ${label}` : ""}`;
  return s("g", { class: `generation${key === frame.view.at ? " at" : ""}`, "data-generation": key },
    s("title", null, `${key}${label ? ` ${label}` : ""}: ${model.boundsInWords(one)}; ${model.curveInWords(curve)}${conflict ? "; in conflict" : ""}`),
    s("rect", { class: "row", x: 0, y: top, width: frame.left + frame.width + 12, height: ROW }),
    rowLabel(frame, name, top + FOOT), bounds && boundsBar(frame, top, bounds), curve && distribution(frame, top, curve));
}

/** @param {Frame} frame @param {number} top @param {NonNullable<ReturnType<typeof model.bar>>} found */
function boundsBar(frame, top, found) {
  const [from, to] = [frame.left + found.x, frame.left + found.x + found.width];
  return s("g", { class: "bounds" }, s("rect", { x: from, y: top + FOOT, width: to - from, height: 5 }),
    found.openLeft && arrow(from, top + FOOT + 2.5, -1), found.openRight && arrow(to, top + FOOT + 2.5, 1));
}

/** The density, the 68 % as a thick line and the 95 % as a thin one within the bar, the median as a stroke through it. @param {Frame} frame @param {number} top @param {import("../../model/years.js").Curve} curve */
function distribution(frame, top, curve) {
  const shape = model.outline(curve, frame.range, frame.width, top + FOOT, DENSITY);
  const span = (/** @type {number[]} */ interval, /** @type {string} */ look, /** @type {number} */ height) => {
    const found = model.bar(interval[0] ?? null, interval[1] ?? null, frame.range, frame.width);
    return found && s("rect", { class: look, x: frame.left + found.x, y: top + FOOT + 2.5 - height / 2, width: found.width, height });
  };
  const middle = model.bar(curve.median, curve.median, frame.range, frame.width);
  const at = middle && frame.left + middle.x + middle.width / 2;
  return s("g", { class: "distribution" },
    shape && s("path", { class: "density", transform: `translate(${frame.left} 0)`, d: shape }),
    span(curve.interval_95, "most", 1.5), span(curve.interval_68, "half", 5),
    at && s("line", { class: "median", x1: at, x2: at, y1: top + FOOT - DENSITY, y2: top + FOOT + 7 }));
}

/** The key to the signs. */
export function signs() {
  const sign = (/** @type {SVGElement[]} */ ...parts) => s("svg", { class: "years sign", width: 64, height: 26, viewBox: "0 0 64 26", "aria-hidden": "true", focusable: "false" }, parts);
  /** @type {[SVGElement, string][]} */
  const told = [
    [sign(s("g", { class: "bounds" }, s("rect", { x: 4, y: 14, width: 56, height: 5 }))), "bounds that the record allows"],
    [sign(s("path", { class: "density", d: "M10 16V12H18V6H24V2H34V6H42V11H52V16Z" })), "how likely each year is within them"],
    [sign(s("g", { class: "distribution" }, s("rect", { class: "most", x: 4, y: 15.75, width: 56, height: 1.5 }), s("rect", { class: "half", x: 16, y: 14, width: 32, height: 5 }), s("line", { class: "median", x1: 31, x2: 31, y1: 4, y2: 22 }))), "median, 68 % (thick), 95 % (thin)"],
    [sign(s("g", { class: "mark" }, s("line", { class: "reach", x1: 8, x2: 56, y1: 13, y2: 13 }), s("line", { class: "end", x1: 8, x2: 8, y1: 8, y2: 18 }), arrow(56, 13, 1))), "evidence: a stroke ends it, an arrow leaves it open; dashed: tentative"],
    [sign(s("g", { class: "phase" }, s("rect", { x: 4, y: 5, width: 56, height: 16 }))), "phase"],
  ];
  return h("ul", { class: "signs" }, told.map(([drawn, text]) => h("li", null, drawn, " ", text)), h("li", null, h("span", { class: "mark" }, "▲"), " in a conflict of date"));
}

/** @param {Range} range */
export function rangeInWords(range) {
  return `${year(range.from)} to ${year(range.to)}`;
}
