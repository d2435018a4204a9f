/** What was read along lines: words for it, and how it hangs together with the layers of the record. */

import { length, moved, nearest } from "../../lib/plane.js";
import { percent } from "../confidence.js";
import { UNCALIBRATED, micrometres } from "./pictures.js";
import { between } from "./placement.js";

/** @typedef {import("./types.js").ReadLayer} ReadLayer */
/** @typedef {import("./types.js").Traverse} Traverse */
/** @typedef {import("../../lib/plane.js").Point} Point */

/** How sure a reading is of a layer, by shape and word. @param {number | null} confidence */
export function surely(confidence) {
  if (confidence === null) return { mark: "○", word: "not said" };
  if (confidence >= 0.9) return { mark: "●", word: `clear, ${percent(confidence)}` };
  if (confidence >= 0.7) return { mark: "◑", word: `likely, ${percent(confidence)}` };
  return { mark: "○", word: `doubtful, ${percent(confidence)}` };
}

/** The layers proper, without what lies beneath and above them. @param {Pick<Traverse, "layers">} line */
export function proper(line) {
  return line.layers.filter((one) => one.end === "");
}

/** How thick, with its error. @param {Pick<ReadLayer, "thickness_um" | "thickness_error_um" | "from_px" | "to_px">} one */
export function thickTold(one) {
  if (one.thickness_um === null) return `${Number((one.to_px - one.from_px).toFixed(1))} px (no scale)`;
  return `${micrometres(one.thickness_um)}${one.thickness_error_um === null ? "" : ` ± ${Number(one.thickness_error_um.toPrecision(2))} µm`}`;
}

/** Its colour as read; 'uncalibrated' is said wherever a target was lacking. @param {Pick<ReadLayer, "lab" | "munsell" | "lab_spread">} one @param {boolean} calibrated */
export function colourTold(one, calibrated) {
  if (!one.lab) return "";
  const lab = `L*a*b* ${one.lab.map((each) => Math.round(each * 10) / 10).join(", ")}`;
  return [one.munsell, lab, one.lab_spread === null ? "" : `spread ΔE00 ${Number(one.lab_spread.toPrecision(2))}`, calibrated ? "" : UNCALIBRATED].filter(Boolean).join("; ");
}

/** @param {Pick<ReadLayer, "uv_colour" | "uv_strength">} one */
export function uvTold(one) {
  return [one.uv_strength, one.uv_colour].filter(Boolean).join(" ");
}

/** What a line's state is, in words. @param {Pick<Traverse, "state" | "refusal" | "trouble" | "layers" | "calibrated" | "colour_calibrated">} line */
export function lineTold(line) {
  if (line.state === "waiting") return line.trouble || "Being read …";
  if (line.state === "refused") return line.refusal || "It could not be read.";
  const many = proper(line).length;
  const lacks = [line.calibrated ? "" : "no scale", line.colour_calibrated ? "" : `colours ${UNCALIBRATED}`].filter(Boolean).join(", ");
  const taken = proper(line).filter((one) => one.accepted).length;
  return `${many} ${many === 1 ? "layer" : "layers"} proposed${taken ? `, ${taken === many ? "all" : taken} in the record` : ""}${lacks ? `; ${lacks}` : ""}.`;
}

/**
 * Where a point lies on the lines of a picture: the nearest whose strip holds it.
 * @param {readonly Traverse[]} lines @param {Point} point @param {number} [near] how far beside the strip still counts, in px
 */
export function onLine(lines, point, near = 0) {
  /** @type {{ line: Traverse, far: number, off: number, layer: ReadLayer | null } | null} */
  let best = null;
  for (const line of lines) {
    const { far, off } = nearest(line.path, point);
    if (off > line.width_px / 2 + near || (best && best.off <= off)) continue;
    best = { line, far, off, layer: line.layers.find((one) => one.from_px <= far && far <= one.to_px) ?? null };
  }
  return best;
}

/** Where one is along a line, in words. @param {{ line: Traverse, far: number, layer: ReadLayer | null }} found @param {number | null} scale µm per px */
export function alongTold({ line, far, layer }, scale) {
  const place = `on line ${line.number}, ${Math.round(far)} px${scale === null ? "" : ` (${micrometres(far * scale)})`} from its foot`;
  if (!layer) return place;
  return `${place}: ${layer.end || `layer ${layer.index} of ${proper(line).length} read, ${thickTold(layer)}`}`;
}

/** Which places of which lines show a layer of the record. @param {readonly Traverse[]} lines @param {string} id @returns {{ line: Traverse, layer: ReadLayer }[]} */
export function shownBy(lines, id) {
  return lines.flatMap((line) => line.layers.filter((one) => one.accepted === id).map((layer) => ({ line, layer })));
}

/**
 * Lines as they lie on one of the sample's pictures: its own, and those of pictures that are registered with it.
 * @param {readonly Traverse[]} lines @param {readonly import("./types.js").Registration[]} registrations @param {string} picture @returns {Traverse[]}
 */
export function seenOn(lines, registrations, picture) {
  return lines.flatMap((line) => {
    if (line.attachment === picture) return [line];
    const matrix = between(registrations, line.attachment, picture);
    if (!matrix) return [];
    const path = line.path.map((one) => moved(matrix, one));
    const by = length(line.path) > 0 ? length(path) / length(line.path) : 1;
    return [{ ...line, path, width_px: line.width_px * by, layers: line.layers.map((one) => ({ ...one, from_px: one.from_px * by, to_px: one.to_px * by })) }];
  });
}

/** Lines as they were fetched; of one that is known at a later version already that stays. @param {readonly Traverse[]} fetched @param {readonly Traverse[]} known @returns {Traverse[]} */
export function newest(fetched, known) {
  return fetched.map((one) => known.find((each) => each.id === one.id && each.version > one.version) ?? one);
}

/** What is wrong with a path, blank if nothing is. @param {readonly Point[]} path @param {number | null} width */
export function wrongPath(path, width) {
  if (path.length < 2) return "A line needs two points at least: the first in the substrate, the last beyond the surface.";
  if (length(path) < 10) return "The line is shorter than 10 px: too short to be read.";
  return width === null || width < 1 ? "The width is a number of px, at least 1." : "";
}

/** A first width: a twentieth of the length, between 5 and 200 px. @param {readonly Point[]} path */
export function firstWidth(path) {
  return Math.round(Math.min(200, Math.max(5, length(path) / 20)));
}
