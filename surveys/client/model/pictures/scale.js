/** The scale of a picture, from a line drawn on a stage micrometer, a microscope, or a number that somebody states. */

import { distance } from "../../lib/plane.js";

/** @typedef {import("../../lib/plane.js").Point} Point */

/** @param {readonly Point[]} points @param {number | null} micrometres @returns {number | null} µm per px */
export function perPixel(points, micrometres) {
  const [first, second] = points;
  if (!first || !second || micrometres === null || micrometres <= 0) return null;
  const long = distance(first, second);
  return long > 0 ? micrometres / long : null;
}

/** A number as people write it, with a point or a comma; null if it is none or not above nought. @param {string} text */
export function positive(text) {
  const plain = text.trim().replace(",", ".");
  const value = /^\d+(\.\d+)?$/.test(plain) ? Number(plain) : NaN;
  return value > 0 ? value : null;
}

/** What a line drawn so far says. @param {readonly Point[]} points @param {number | null} micrometres */
export function lineTold(points, micrometres) {
  if (points.length < 2) return points.length === 0 ? "Put the first end on a division of the micrometer." : "Put the other end on another division, as far away as there is one.";
  const long = distance(/** @type {Point} */ (points[0]), /** @type {Point} */ (points[1]));
  const found = perPixel(points, micrometres);
  const told = `The line is ${Math.round(long).toLocaleString("en-GB")} px long`;
  return found === null ? `${told}; say how many µm that is.` : `${told}: ${Number(found.toPrecision(4))} µm per px. An end put 1 px off changes it by ${Number(((100 * Math.SQRT2) / long).toPrecision(2))} %.`;
}

/** The scale that a microscope gives a picture; a smaller picture of the same camera has larger pixels. @param {{ um_per_pixel: number, picture_width: number | null }} microscope @param {number | null} width */
export function ofMicroscope(microscope, width) {
  return microscope.picture_width && width ? (microscope.um_per_pixel * microscope.picture_width) / width : microscope.um_per_pixel;
}
