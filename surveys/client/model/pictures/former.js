/** What a person had put along a line, or taken from it into the record, before it was read anew: for that to be seen beside the new reading. */

import { along, length, nearest } from "../../lib/plane.js";
import { LEAST } from "./cuts.js";

/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {import("../types.js").Change} Change */
/** @typedef {import("../types.js").Row} Row */
/** @typedef {import("./types.js").Traverse} Traverse */
/** @typedef {{ path: Point[], width: number, boundaries: number[], actor: string, at: string }} Former */

/** How the service calls an act that only keeps what was read. */
const READ = "Read.";

/**
 * The boundaries by hand that a change of the path, or a new reading that they did not fit, took from a line; null where none were, or others
 * were put since.
 * @param {readonly Change[]} changes of the line, oldest first @returns {Former | null}
 */
export function formerOf(changes) {
  /** @type {Former | null} */
  let found = null;
  let path = /** @type {Point[]} */ ([]);
  let width = 1;
  for (const { fields, reason, actor, at } of changes) {
    const [before, after] = /** @type {[number[] | null, number[] | null]} */ (fields["boundaries"] ?? [null, null]);
    if (before && !after && (fields["path"] || reason === READ)) found = { path, width, boundaries: before, actor, at };
    else if (fields["boundaries"]) found = null;
    if (fields["path"]?.[1]) path = /** @type {Point[]} */ (fields["path"][1]);
    if (fields["width_px"]?.[1]) width = Number(fields["width_px"][1]);
  }
  return found;
}

/** Former boundaries on another path, each as near as it comes to where it was on the picture. @param {Former} former @param {readonly Point[]} path @returns {number[]} */
export function carried({ path: old, boundaries }, path) {
  const long = length(path);
  const places = boundaries.map((one) => nearest(path, along(old, one).point).far).sort((a, b) => a - b);
  /** @type {number[]} */
  const found = [];
  for (const one of places) {
    const least = found.length ? /** @type {number} */ (found.at(-1)) + LEAST : 0;
    const place = Math.round(Math.max(least, one) * 10) / 10;
    if (place <= long) found.push(place);
  }
  return found;
}

/**
 * What was taken into the record from a line: of layers that are not read along it now, and of those that are read otherwise.
 * @param {readonly Row[]} measurements of the line @param {Pick<Traverse, "layers">} line
 */
export function takenBefore(measurements, line) {
  const read = new Map(line.layers.filter((one) => one.accepted).map((one) => [one.accepted, one]));
  return {
    gone: measurements.filter((one) => !read.has(String(one["layer"]))),
    other: measurements.filter((one) => read.get(String(one["layer"]))?.accepted_differs).map((one) => ({ was: one, is: /** @type {import("./types.js").ReadLayer} */ (read.get(String(one["layer"]))) })),
  };
}
