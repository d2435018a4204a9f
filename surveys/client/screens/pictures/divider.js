/** The line that parts two pictures: dragged, or moved by arrow keys. */

import { h } from "../parts/dom.js";

const STEP = 0.02;

/** @param {(share: number) => void} part told the share of the width that lies left of it */
export function divider(part) {
  let share = 0.5;
  const grip = h("span", { class: "grip", "aria-hidden": "true" }, "◂▸");
  const element = h("div", {
    class: "divider", role: "separator", tabindex: 0, "aria-orientation": "vertical", "aria-label": "Where the two pictures part", "aria-valuemin": 0, "aria-valuemax": 100,
    onpointerdown: (/** @type {PointerEvent} */ event) => {
      element.setPointerCapture(event.pointerId);
      event.preventDefault();
      element.focus();
    },
    onpointermove: (/** @type {PointerEvent} */ event) => {
      const box = element.parentElement?.getBoundingClientRect();
      if (box && element.hasPointerCapture(event.pointerId)) part((event.clientX - box.left) / box.width);
    },
    onkeydown: (/** @type {KeyboardEvent} */ event) => {
      const to = { ArrowLeft: share - STEP, ArrowRight: share + STEP, PageUp: share - 5 * STEP, PageDown: share + 5 * STEP, Home: 0, End: 1 }[event.key];
      if (to === undefined) return;
      event.preventDefault();
      event.stopPropagation();
      part(to);
    },
  }, grip);
  return {
    element,
    /** @param {number} to */
    put(to) {
      share = to;
      element.style.left = `${100 * to}%`;
      element.setAttribute("aria-valuenow", String(Math.round(100 * to)));
    },
  };
}
