/** Choosing among pictures and ways of looking, larger and smaller: plain buttons with words. */

import { MODES, mayLook } from "../../model/pictures/looking.js";
import { isShown } from "../../model/pictures/pictures.js";
import { button, h, newId, refill } from "../parts/dom.js";

/** @typedef {import("./desk.js").PictureDesk} PictureDesk */

/** For the help; no letter of these is a key of the bench, beside which pictures lie. @type {readonly (readonly [key: string, text: string])[]} */
export const DESK_KEYS = [
  ["arrow keys", "move the picture; with Shift farther"], ["+, −, 0", "larger, smaller, the whole picture"],
  ["O", "show the other of two pictures in its place, and back"], ["W", "the next way of looking at two pictures"],
  [", and .", "move the line that parts two pictures"], ["H", "hide or show what is drawn on the picture"],
];

/** @param {PictureDesk} desk */
export function deskControls(desk) {
  const tabs = h("div", { class: "picturetabs", role: "group", "aria-label": "Pictures" });
  const id = newId("look");
  const looks = h("select", { id, "aria-keyshortcuts": "w", onchange: () => desk.look(/** @type {import("../../model/pictures/looking.js").Mode} */ (looks.value)) });
  const modes = h("span", { class: "modes" }, h("label", { for: id }, h("kbd", { "aria-hidden": "true" }, "W"), " Look at"), " ", looks);
  const swap = button("", () => desk.blink(), { class: "quiet", "aria-keyshortcuts": "o" });
  const hide = button("", () => desk.hide(!desk.hidden), { class: "quiet", "aria-keyshortcuts": "h" });
  const tool = (/** @type {string} */ text, /** @type {string} */ key, /** @type {() => void} */ act) => {
    const made = button("", act, { class: "quiet", "aria-keyshortcuts": key });
    refill(made, text, " ", h("kbd", { "aria-hidden": "true" }, key));
    return made;
  };
  const element = h("div", { class: "deskcontrols" }, tabs, modes, h("div", { class: "buttons" },
    tool("Larger", "+", () => desk.viewers[desk.active]?.zoomBy(1.5)), tool("Smaller", "−", () => desk.viewers[desk.active]?.zoomBy(1 / 1.5)), tool("Whole", "0", () => desk.viewers[desk.active]?.fit()), swap, hide));
  let drawn = "";

  function draw() {
    const shown = desk.pictures.filter(isShown);
    const key = JSON.stringify([shown.map((one) => [one.id, one.kind, one.caption]), desk.shown]);
    if (key !== drawn) {
      drawn = key;
      const at = [...tabs.children].findIndex((one) => one === document.activeElement);
      refill(tabs, shown.map((one) => {
        const made = button("", () => desk.choose(one.id), { class: "quiet", "aria-pressed": String(one.id === desk.shown), title: one.caption || null });
        refill(made, h("span", { class: "hidden" }, "Picture "), `${one.number} ${one.kind.replace(" micrograph", "")}`, one.caption && h("span", { class: "tabcaption" }, `: ${short(one.caption)}`));
        return made;
      }));
      const again = tabs.children[at];
      if (again instanceof HTMLElement) again.focus();
    }
    const open = MODES.filter(([mode]) => mayLook(mode, desk.other !== null, desk.matrix !== null));
    if (looks.children.length !== open.length) refill(looks, open.map(([mode, text]) => h("option", { value: mode }, text)));
    looks.value = desk.mode;
    modes.hidden = !desk.other;
    swap.hidden = !desk.other || !desk.matrix;
    const next = desk.over || desk.mode !== "blink" ? desk.picture : desk.other;
    refill(swap, desk.mode === "blink" && next ? `Show ${next.kind}` : "By turns", " ", h("kbd", { "aria-hidden": "true" }, "O"));
    hide.hidden = desk.lines.length === 0;
    refill(hide, desk.hidden ? "Show lines" : "Hide lines", " ", h("kbd", { "aria-hidden": "true" }, "H"));
    element.hidden = shown.length === 0;
  }

  return { element, draw };
}

/** @param {string} text */
function short(text) {
  return text.length > 24 ? `${text.slice(0, 23)}…` : text;
}
