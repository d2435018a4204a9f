/** What an interpretation cites: found by typing part of a name, each with a note, and taken out again. */

import { citable } from "../../api/findings.js";
import { isStop } from "../../api/http.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { announce, reportUnexpected } from "../parts/say.js";
import { citationLink } from "./links.js";

/** @typedef {import("../../model/findings.js").Citation} Citation */
/** @typedef {Citation & { hint?: string }} Offer */

const PAUSE = 180;

/**
 * @param {object} options
 * @param {string} options.code
 * @param {readonly Citation[]} options.cites
 * @param {string | null} options.self the interpretation that cites: it is not offered itself
 * @param {AbortSignal} options.signal
 * @param {() => void} options.changed
 */
export function citationPicker({ code, cites, self, signal, changed }) {
  const id = newId("cite");
  /** @type {Citation[]} */
  let chosen = [...cites];
  /** @type {Offer[]} */
  let offers = [];
  let at = -1;
  let turn = 0;
  const list = h("ul", { class: "cites" });
  const box = h("ul", { id, class: "offers", role: "listbox", "aria-label": "Records that can be cited", hidden: true });
  const input = h("input", {
    id: `${id}-input`, type: "text", role: "combobox", autocomplete: "off", "aria-autocomplete": "list", "aria-expanded": "false", "aria-controls": id,
    "aria-describedby": `${id}-hint`, onkeydown: keyed, oninput: () => void look(), onblur: () => close(),
  });

  async function look() {
    const mine = (turn += 1);
    const text = input.value.trim();
    if (text.length < 1) {
      close();
      return;
    }
    await new Promise((done) => setTimeout(done, PAUSE));
    if (mine !== turn) return;
    try {
      const found = await citable(code, text, signal);
      if (mine !== turn) return;
      offers = found.filter((one) => one.id !== self && !chosen.some((other) => other.id === one.id));
      at = offers.length ? 0 : -1;
      draw();
      announce(offers.length ? `${offers.length} records offered` : "No record of that name.");
    } catch (error) {
      if (!isStop(error)) reportUnexpected(error);
    }
  }

  function draw() {
    refill(box, offers.map((one, index) => h("li", {
      id: `${id}-${index}`, role: "option", "aria-selected": String(index === at), class: index === at ? "chosen" : null,
      onmousedown: (/** @type {MouseEvent} */ event) => {
        event.preventDefault();
        take(index);
      },
    }, h("strong", null, `${one.type} ${one.name}`), " ", h("span", { class: "hint" }, one.hint ?? ""))));
    box.hidden = offers.length === 0;
    input.setAttribute("aria-expanded", String(offers.length > 0));
    if (at >= 0) input.setAttribute("aria-activedescendant", `${id}-${at}`);
    else input.removeAttribute("aria-activedescendant");
    box.children[at]?.scrollIntoView({ block: "nearest" });
  }

  function close() {
    turn += 1;
    offers = [];
    at = -1;
    draw();
  }

  /** @param {number} index */
  function take(index) {
    const one = offers[index];
    if (!one) return;
    chosen.push({ type: one.type, id: one.id, name: one.name, note: "" });
    input.value = "";
    close();
    show();
    changed();
    announce(`${one.type} ${one.name} is cited.`);
  }

  /** @param {KeyboardEvent} event */
  function keyed(event) {
    if (event.isComposing) return;
    if (event.key === "Enter" && offers.length === 0) {
      // It belongs to the search, not to the form around it.
      if (!event.ctrlKey && !event.metaKey) event.preventDefault();
      return;
    }
    if (offers.length === 0) return;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") at = (at + (event.key === "ArrowDown" ? 1 : offers.length - 1)) % offers.length;
    else if (event.key === "Enter") take(at);
    else if (event.key === "Escape") close();
    else return;
    event.preventDefault();
    event.stopPropagation();
    if (offers.length > 0) draw();
  }

  function show() {
    refill(list, chosen.map((one, index) => {
      const note = newId("note");
      return h("li", null, citationLink(code, one), " ",
        h("label", { for: note, class: "hidden" }, `Note on ${one.type} ${one.name}`),
        h("input", { id: note, value: one.note, placeholder: "what in it, if not all", size: 36, maxlength: 400, oninput: (/** @type {Event} */ event) => {
          one.note = /** @type {HTMLInputElement} */ (event.target).value;
          changed();
        } }), " ",
        button("Take out", () => {
          chosen = chosen.filter((_, other) => other !== index);
          show();
          changed();
          input.focus();
          announce(`${one.type} ${one.name} is cited no more.`);
        }, { class: "quiet", "aria-label": `Take out ${one.type} ${one.name}` }));
    }), chosen.length === 0 && h("li", { class: "empty" }, "Nothing yet. Others can review it only once it cites something."));
  }

  show();
  return {
    cites: () => chosen.map((one) => ({ ...one })),
    element: h("fieldset", { class: "citing" }, h("legend", null, "What it rests on"), list,
      h("div", { class: "citesearch" }, h("label", { for: `${id}-input` }, "Cite"), input, box,
        h("span", { class: "hint", id: `${id}-hint` }, "Type part of a number, name or colour; arrow keys and Enter choose a sample, layer, piece of evidence or interpretation."))),
  };
}
