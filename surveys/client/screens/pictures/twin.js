/** A tool as it lies in the hand over the other of two registered pictures: what is done at a spot there is done at the same spot here. */

import { distance, inverse, moved } from "../../lib/plane.js";

/** @typedef {import("../../lib/plane.js").Matrix} Matrix */
/** @typedef {import("./tool.js").Tool} Tool */

/** @param {Tool} tool @param {Matrix} matrix from px of the other picture to px of the tool's own @returns {Tool | null} */
export function twin(tool, matrix) {
  const back = inverse(matrix);
  if (!back) return null;
  const by = distance(moved(matrix, [0, 0]), moved(matrix, [1, 0]));
  return {
    get cross() {
      return tool.cross;
    },
    shapes: () => tool.shapes().map((one) => ({ ...one, points: one.points.map((point) => moved(back, point)) })),
    clicked: (point) => tool.clicked(moved(matrix, point)),
    taken: (point, near) => tool.taken(moved(matrix, point), near * by),
    dragged: (point) => tool.dragged(moved(matrix, point)),
    dropped: () => tool.dropped(),
    key: (event, cross, unit) => tool.key(event, moved(matrix, cross), unit * by),
  };
}

/** What is in hand over the picture, and over the one beside it; both stay in hand while the pictures are laid otherwise. */
export class Hands {
  constructor() {
    /** @type {[Tool | null, Tool | null]} */
    this.tools = [null, null];
    /** @type {{ own: Tool, key: string, made: Tool | null } | null} */
    this.twin = null;
  }

  /** @param {Tool | null} tool @param {0 | 1} side */
  take(tool, side) {
    this.tools[side] = tool;
  }

  /** A shared tool is in hand over both pictures, where they are registered. @param {readonly import("./viewer.js").Viewer[]} viewers @param {Matrix | null} matrix */
  give([first, second], matrix) {
    const [own, beside] = this.tools;
    first?.take(own);
    second?.take(beside ?? (own?.shared ? this.twinned(own, matrix) : null));
  }

  /** The same twin as long as the pictures lie the same: another would lose what is held. @param {Tool} own @param {Matrix | null} matrix */
  twinned(own, matrix) {
    const key = JSON.stringify(matrix);
    if (this.twin?.own !== own || this.twin.key !== key) this.twin = { own, key, made: matrix && twin(own, matrix) };
    return this.twin.made;
  }
}
