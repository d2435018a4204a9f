/** A line across a section as it is drawn on the picture: its strip, and across it the boundaries, each as solid as it is sure. */

import { across, length, strip } from "../../lib/plane.js";
import { proper } from "../../model/pictures/lines.js";
import { dashOf } from "../../model/pictures/profile.js";

/** @typedef {import("../../model/pictures/types.js").Traverse} Traverse */
/** @typedef {import("./overlay.js").Shape} Shape */

/** @param {Traverse} line @param {number} lit the layer that is pointed at, 0 for none @returns {Shape[]} */
export function drawnLine(line, lit) {
  const layers = proper(line);
  /** @type {Shape[]} */
  const cuts = layers.flatMap((one, at) => {
    const dash = dashOf(one.confidence);
    const lower = /** @type {Shape} */ ({ kind: "cut", points: across(line.path, one.from_px, line.width_px), dash });
    return at === layers.length - 1 ? [lower, /** @type {Shape} */ ({ kind: "cut", points: across(line.path, one.to_px, line.width_px), dash })] : [lower];
  });
  const found = layers.find((one) => one.index === lit);
  return [
    { kind: "box", points: strip(line.path, 0, length(line.path), line.width_px) },
    // Named at its upper end.
    { kind: "line", points: line.path.slice(-1), label: `line ${line.number}` },
    ...cuts,
    ...(found ? [/** @type {Shape} */ ({ kind: "band", points: strip(line.path, found.from_px, found.to_px, line.width_px * 1.15), chosen: true, label: String(found.index) })] : []),
  ];
}

/**
 * The same while its boundaries are being put.
 * @param {Traverse} line @param {readonly number[]} cuts @param {number} at the boundary in hand @param {number} lit the layer pointed at
 * @returns {Shape[]}
 */
export function drawnCuts(line, cuts, at, lit) {
  const shapes = cuts.map((one, index) => /** @type {Shape} */ ({ kind: "cut", points: across(line.path, one, line.width_px * (index === at ? 1.4 : 1)), chosen: index === at, label: index === at ? `${index + 1}` : "" }));
  const [from, to] = [cuts[lit - 1], cuts[lit]];
  return [
    { kind: "box", points: strip(line.path, 0, length(line.path), line.width_px) },
    ...(lit > 0 && from !== undefined && to !== undefined ? [/** @type {Shape} */ ({ kind: "band", points: strip(line.path, from, to, line.width_px * 1.15), chosen: true, label: String(lit) })] : []),
    ...shapes,
  ];
}
