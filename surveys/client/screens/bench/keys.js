/** The keys of the bench: one hand, one key each while nothing is typed. None of them is a browser's own. */

import { singleKeys } from "../help.js";

/** @typedef {"above" | "below" | "split" | "merge" | "up" | "down" | "copy" | "remove"} Act */
/** @typedef {Act | "undo" | "redo" | "next" | "previous" | "go" | "visible" | "uv" | "repeat" | "field" | "lacks" | "sample" | "talk" | "pictures"} Deed */

/** @type {Readonly<Record<string, Deed>>} */
export const SINGLE = {
  a: "above", b: "below", s: "split", m: "merge", u: "up", d: "down", c: "copy", x: "remove", z: "undo", y: "redo", n: "next", p: "previous", g: "go",
  v: "visible", f: "uv", r: "repeat", l: "lacks", t: "sample", q: "talk", i: "pictures",
};
const NAMED = { Delete: "remove", Enter: "field", ArrowRight: "field" };

/** For the help, in the order in which one needs them. @type {readonly (readonly [key: string, text: string])[]} */
export const TOLD = [
  ["arrow up, arrow down", "to the layer above or beneath; Home to the surface, End to the lowest layer"],
  ["Enter, arrow right", "into the fields of the layer, where one was last; Escape leads back to the layers"],
  ["1 to 9, 0", "straight to the field that bears the digit"],
  ["A, B", "add a layer above, or below"],
  ["S, M", "split a layer, or merge it with the one beneath"],
  ["U, D", "move a layer up towards the surface, or down"],
  ["C, X or Delete", "copy a layer, or remove it"],
  ["R", "give the field where one was last the value that was last entered there; within a field F4"],
  ["Z, Y", "undo, do again; Ctrl+Z and Ctrl+Y within a field too"],
  ["N, P, G", "to the next or previous sample, or to one by its number"],
  ["V, F", "note: examined today by me in visible light, or under UV"],
  ["L, T", "to the first thing that is lacking, or to the fields of the sample"],
  ["I", "show or hide the pictures of the sample; Escape leads from them back to the layers"],
  ["Q, Shift+F2", "what is said about the layer, or about the field in which one is: comment, answer, resolve"],
  ["Enter, Shift+Enter", "within a field: save, and go to the next or previous one"],
  ["Page Up, Page Down", "within a field: the same field of the layer above or beneath"],
];

/**
 * What a key means while nothing is typed.
 * @param {KeyboardEvent} event @returns {Deed | "above-it" | "beneath-it" | "surface" | "lowest" | `field:${string}` | null}
 */
export function meaning(event) {
  if (event.altKey) return null;
  if (event.key === "F2" && event.shiftKey) return "talk";
  if (event.ctrlKey || event.metaKey) return chord(event);
  const inStack = event.target instanceof Element && event.target.closest(".stack, .cross .empty") !== null;
  if (inStack) {
    const moved = { ArrowUp: "above-it", ArrowDown: "beneath-it", Home: "surface", End: "lowest" }[event.key];
    if (moved) return /** @type {"above-it"} */ (moved);
    const named = NAMED[/** @type {keyof typeof NAMED} */ (event.key)];
    if (named) return /** @type {Deed} */ (named);
  }
  if (!singleKeys()) return null;
  if (/^[0-9]$/.test(event.key)) return `field:${event.key}`;
  return SINGLE[event.key.toLowerCase()] ?? null;
}

/** @param {KeyboardEvent} event @returns {Deed | null} */
function chord(event) {
  const key = event.key.toLowerCase();
  if (key === "z") return event.shiftKey ? "redo" : "undo";
  return key === "y" ? "redo" : null;
}

/** Whether the person is typing. @param {EventTarget | null} target */
export function isTyping(target) {
  return target instanceof HTMLElement && target.matches("input, textarea, select");
}
