/** A field in which members can be called by name: @ and the first letters offer who is meant. */

import { beingTyped, offered } from "../../model/talk.js";
import { h, newId, refill } from "./dom.js";

/** @typedef {import("../../model/talk.js").Candidate} Candidate */

/**
 * @param {import("./dom.js").Attributes} attributes of the field
 * @param {() => Promise<Candidate[]>} candidates
 */
export function mentionField(attributes, candidates) {
  const id = newId("called");
  const list = h("ul", { id, class: "calledoffers", role: "listbox", "aria-label": "Members", hidden: true });
  const input = h("textarea", {
    rows: 3, maxlength: 20_000, spellcheck: "true", "aria-autocomplete": "list", "aria-controls": id, ...attributes,
  });
  /** @type {Candidate[]} */
  let shown = [];
  let at = -1;

  async function look() {
    const typing = beingTyped(input.value, input.selectionStart);
    if (!typing) {
      close();
      return;
    }
    const all = await candidates().catch(() => []);
    // While the list came one may have typed on.
    const now = beingTyped(input.value, input.selectionStart);
    shown = now ? offered(all, now.typed) : [];
    at = shown.length > 0 ? 0 : -1;
    draw();
  }

  function draw() {
    refill(list, shown.map((one, index) => h("li", {
      id: `${id}-${index}`, role: "option", "aria-selected": String(index === at), class: index === at ? "chosen" : null,
      onmousedown: (/** @type {MouseEvent} */ event) => {
        event.preventDefault();
        take(index);
      },
    }, one.name, " ", h("span", { class: "hint" }, `@${one.username}, ${one.discipline}`))));
    list.hidden = shown.length === 0;
    if (at >= 0) input.setAttribute("aria-activedescendant", `${id}-${at}`);
    else input.removeAttribute("aria-activedescendant");
  }

  function close() {
    if (shown.length === 0) return;
    shown = [];
    at = -1;
    draw();
  }

  /** @param {number} index */
  function take(index) {
    const typing = beingTyped(input.value, input.selectionStart);
    const one = shown[index];
    if (!typing || !one) return;
    input.setRangeText(`@${one.username} `, typing.start, input.selectionStart, "end");
    close();
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }

  input.addEventListener("input", () => void look());
  input.addEventListener("blur", close);
  input.addEventListener("keydown", (event) => {
    if (shown.length === 0 || event.isComposing) return;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") at = (at + (event.key === "ArrowDown" ? 1 : shown.length - 1)) % shown.length;
    else if (event.key === "Enter" && !event.ctrlKey && !event.metaKey) take(at);
    else if (event.key === "Tab" && !event.shiftKey) take(at);
    else if (event.key === "Escape") close();
    else return;
    event.preventDefault();
    event.stopPropagation();
    if (shown.length > 0) draw();
  });
  return { input, element: h("div", { class: "calling" }, input, list) };
}
