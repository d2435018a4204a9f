/** Ways of looking at two pictures of one section, and how the one beside shows the same place. */

import { distance, inverse, moved } from "../../lib/plane.js";
import { UV, VISIBLE, called, coloursTold, scaleTold } from "./pictures.js";
import { registrationTold } from "./placement.js";

/** @typedef {import("../../lib/plane.js").Matrix} Matrix */
/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {"one" | "blink" | "split" | "beside"} Mode */
/** @typedef {{ centre: Point, zoom: number }} View screen px for one px of the picture, and what lies in the middle */

/** @type {readonly (readonly [mode: Mode, text: string])[]} */
export const MODES = [["one", "one picture"], ["blink", "both by turns"], ["split", "both, parted"], ["beside", "both side by side"]];

/** Whether one can look so: two are needed, and but for side by side they must be registered. @param {Mode} mode @param {boolean} two @param {boolean} registered */
export function mayLook(mode, two, registered) {
  return mode === "one" || (two && (mode === "beside" || registered));
}

/** @param {Mode} mode @param {boolean} two @param {boolean} registered @returns {Mode} */
export function nextMode(mode, two, registered) {
  const open = MODES.map(([name]) => name).filter((name) => mayLook(name, two, registered));
  return open[(open.indexOf(mode) + 1) % open.length] ?? "one";
}

/**
 * How the other picture looks at the place that one of the two shows.
 * @param {Matrix} matrix from px of the second to px of the first @param {0 | 1} side which of the two is followed @param {View} view what it shows
 * @returns {(View & { turn: number }) | null}
 */
export function followed(matrix, side, view) {
  const back = inverse(matrix);
  if (!back) return null;
  const [zero, one] = [moved(matrix, [0, 0]), moved(matrix, [1, 0])];
  const by = distance(zero, one);
  if (side === 1) return { centre: moved(matrix, view.centre), zoom: view.zoom / by, turn: 0 };
  return { centre: moved(back, view.centre), zoom: view.zoom * by, turn: (Math.atan2(one[1] - zero[1], one[0] - zero[0]) * 180) / Math.PI };
}

/** Whether two views are the same to the eye. @param {View} first @param {View} second */
export function sameView(first, second) {
  return distance(first.centre, second.centre) < 0.2 && Math.abs(first.zoom / second.zoom - 1) < 1e-3;
}

/**
 * What is to be known of what one looks at: scale, colours, and how well two lie on each other.
 * @param {import("./types.js").Attachment} picture @param {import("./types.js").Attachment | null} other @param {Mode} mode
 * @param {import("./types.js").Registration | null} pair what registers the two @param {import("./placement.js").Placement | null} placed how the other is laid over this one
 */
export function stateTold(picture, other, mode, pair, placed) {
  const own = `${scaleTold(picture)} ${coloursTold(picture)}`;
  if (!other || mode === "one") return own;
  if (!pair) return `${own} ${called(other)} is not registered with this one: the two stand side by side, each by itself.`;
  return `${own} ${registrationTold(pair, mode === "beside" ? { x: 0, y: 0, width: 1, degrees: 0, left_over: 0 } : placed)}`;
}

/**
 * Which pictures a plate is of, where one looks at one of a sample's and perhaps has another beside it: the visible one, and the UV one that lies on it.
 * @param {import("./types.js").Attachment | null} picture @param {import("./types.js").Attachment | null} other @param {readonly import("./types.js").Registration[]} registrations
 * @returns {Record<string, string>}
 */
export function plateOf(picture, other, registrations) {
  const two = [picture, other].filter((one) => one !== null);
  const visible = two.find((one) => one.kind === VISIBLE);
  if (!visible) return {};
  const uv = two.find((one) => one.kind === UV && registrations.some((each) => each.fixed === visible.id && each.moving === one.id));
  return uv ? { visible: visible.id, uv: uv.id } : { visible: visible.id };
}
