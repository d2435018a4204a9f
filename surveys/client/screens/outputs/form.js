/** A small form by which a paper is asked for: its fields, what is wrong beside each, one button. */

import { h, newId } from "../parts/dom.js";
import { busy, refusals } from "../parts/say.js";

/**
 * @typedef {object} Asked
 * @property {string} name
 * @property {string} label
 * @property {string} [hint]
 * @property {readonly (string | readonly [string, string])[]} [offers] to choose from: words, or values with words; without, it is written
 * @property {boolean} [tick]
 * @property {boolean} [long]
 * @property {string} [value] what stands there at first
 */

/**
 * @param {{ title: string, says: string, fields: Asked[], button: string, read: (written: Record<string, string>) => import("../../model/papers.js").Read,
 *   send: (params: Record<string, unknown>) => Promise<unknown>, changed?: (written: Record<string, string>, rows: Map<string, HTMLElement>) => void }} options
 */
export function paperForm(options) {
  /** @type {Map<string, { input: HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement, fault: HTMLElement, row: HTMLElement }>} */
  const known = new Map();
  const rows = options.fields.map((field) => {
    const id = newId("ask");
    const fault = h("span", { class: "fault", id: `${id}-fault` });
    const hint = field.hint ? h("span", { class: "hint", id: `${id}-hint` }, field.hint) : null;
    const told = { id, name: field.name, "aria-describedby": `${hint ? `${id}-hint ` : ""}${id}-fault` };
    const input = inputOf(field, told);
    const label = h("label", { for: id }, field.label);
    const row = h("div", { class: `field${field.long ? " wide" : ""}` }, field.tick ? h("span", null, input, " ", label) : [label, input], hint, fault);
    known.set(field.name, { input, fault, row });
    return row;
  });
  const written = () => Object.fromEntries([...known].map(([name, { input }]) =>
    [name, input instanceof HTMLInputElement && input.type === "checkbox" ? (input.checked ? "yes" : "") : input.value]));
  const problem = refusals();
  const submit = h("button", { type: "submit", class: "main" }, options.button);
  const told = new Map([...known].map(([name, { row }]) => [name, row]));
  const show = () => options.changed?.(written(), told);

  /** @param {Record<string, string>} faults */
  function beside(faults) {
    let first = true;
    for (const [name, { input, fault, row }] of known) {
      const text = faults[name] ?? "";
      fault.textContent = text;
      row.classList.toggle("wrong", text !== "");
      if (text) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
      if (text && first) input.focus();
      if (text) first = false;
    }
    return first;
  }

  const form = h("form", { class: "record", novalidate: true, oninput: show, onsubmit: (event) => {
    event.preventDefault();
    const { params, faults } = options.read(written());
    if (beside(faults)) busy(submit, problem, () => options.send(params));
  } }, h("p", { class: "hint" }, options.says), h("div", { class: "fields" }, rows), problem.place, h("p", { class: "buttons" }, submit));
  show();
  return h("details", { class: "ask" }, h("summary", null, options.title), form);
}

/** @param {Asked} field @param {import("../parts/dom.js").Attributes} told */
function inputOf(field, told) {
  if (field.tick) return h("input", { type: "checkbox", ...told });
  if (field.long) return h("textarea", { rows: 2, ...told });
  if (!field.offers) {
    const input = h("input", { type: "text", inputmode: "decimal", autocomplete: "off", ...told });
    input.value = field.value ?? "";
    return input;
  }
  return h("select", told, field.offers.map((one) => (typeof one === "string" ? h("option", null, one) : h("option", { value: one[0] }, one[1]))));
}
