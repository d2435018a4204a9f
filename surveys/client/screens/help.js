/** Help on keys. Keys of one character can be switched off, because they get in the way of speech input. */

import { button, h } from "./parts/dom.js";
import { showPurposes } from "./parts/say.js";

const KEPT = "undercoat single keys";
const KEYS = [
  ["?", "this help"],
  ["/", "to the search field, where there is one"],
  ["Tab, Shift+Tab", "to the next or previous link, button or field"],
  ["Enter", "follow a link, press a button, send a form"],
  ["Ctrl+Enter", "save the form that you are in, from any of its fields"],
  ["Escape", "leave a form or a question without doing it"],
  ["arrow keys", "scroll a table that has the focus; in a chart, go from layer to layer (with Ctrl to the next that holds one)"],
  ["in a chart", "Space selects, T ties, B bars, H holds, P previews, Enter opens details, C comments, Escape closes"],
  ["Alt+Left", "back to where you were (the browser's own)"],
];

/** What the screen that is shown adds of its own. */
const more = { title: "", keys: /** @type {readonly (readonly [key: string, text: string])[]} */ ([]) };

/** Tell a screen's own keys too, as long as it is shown. @param {string} title @param {readonly (readonly [key: string, text: string])[]} keys @param {AbortSignal} signal */
export function alsoTell(title, keys, signal) {
  Object.assign(more, { title, keys });
  signal.addEventListener("abort", () => more.keys === keys && Object.assign(more, { title: "", keys: [] }));
}

/** Whether keys of one character are on. */
export function singleKeys() {
  return localStorage.getItem(KEPT) !== "off";
}

export function showHelp() {
  if (document.querySelector("dialog[open]")) return;
  const before = document.activeElement;
  const on = h("input", { type: "checkbox", id: "single-keys", checked: singleKeys(), onchange: () => localStorage.setItem(KEPT, on.checked ? "on" : "off") });
  const dialog = h("dialog", { "aria-labelledby": "help-title", onclose: () => {
    dialog.remove();
    if (before instanceof HTMLElement) before.focus();
  } },
    h("h2", { id: "help-title", tabindex: -1, autofocus: true }, "Keys"), more.keys.length > 0 && [h("h3", null, more.title), listed(more.keys), h("h3", null, "Everywhere")], listed(KEYS),
    h("p", null, on, " ", h("label", { for: "single-keys" }, "Keys of one character (as ? and /) are on")),
    h("p", null, button("Show again what each screen is for", (event) => {
      showPurposes();
      if (event.target instanceof HTMLElement) event.target.replaceWith("Each screen says again what it is for, from the next time you come to it.");
    }, { class: "quiet" })),
    h("p", { class: "buttons" }, button("Close", () => dialog.close(), { class: "main" })));
  document.body.append(dialog);
  dialog.showModal();
}

/** @param {readonly (readonly string[])[]} keys */
function listed(keys) {
  return h("dl", { class: "told" }, keys.flatMap(([key = "", text = ""]) => [h("dt", null, h("kbd", null, key)), h("dd", null, text)]));
}

/** @param {KeyboardEvent} event */
export function onKey(event) {
  const typing = event.target instanceof HTMLElement && event.target.matches("input, textarea, select");
  if (typing || event.ctrlKey || event.metaKey || event.altKey || !singleKeys() || document.querySelector("dialog[open]")) return;
  if (event.key === "?") showHelp();
  else if (event.key === "/") toSearch(event);
}

/** @param {KeyboardEvent} event */
function toSearch(event) {
  const field = document.querySelector("[data-search]");
  if (!(field instanceof HTMLElement)) return;
  event.preventDefault();
  field.focus();
}
