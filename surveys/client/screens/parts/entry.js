/** A short form of texts and passwords: faults stand beside their fields, the first of them takes the focus. */

import { Problem, sorted } from "../../model/problems.js";
import { wanting } from "../../model/people.js";
import { h, newId, refill } from "./dom.js";
import { busy, refusalBox, refusals } from "./say.js";

/** @typedef {import("../../model/people.js").Entry} Entry */

/**
 * @param {readonly Entry[]} entries
 * @param {string} button
 * @param {(texts: Record<string, string>, form: HTMLFormElement) => Promise<unknown>} act
 */
export function entryForm(entries, button, act) {
  const fields = entries.map(entryField);
  const problem = refusals();
  const submit = h("button", { type: "submit", class: "main" }, button);
  const form = h("form", { class: "narrow", novalidate: true, onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    busy(submit, problem, async () => {
      const texts = Object.fromEntries(fields.map((one) => [one.entry.name, one.input.value]));
      if (beside(fields, wanting(entries, texts))) return;
      try {
        await act(texts, form);
      } catch (error) {
        if (!(error instanceof Problem) || error.places.length === 0) throw error;
        const told = sorted(error.places, entries.map((one) => one.name));
        if (!beside(fields, told.beside) || told.whole.length) refill(problem.place, refusalBox(error.message, told.whole));
      }
    });
  } }, fields.map((one) => one.wrap), problem.place, h("p", { class: "buttons" }, submit));
  return form;
}

/** @param {Entry} entry */
function entryField(entry) {
  const id = newId("entry");
  const hint = entry.hint ? h("span", { class: "hint", id: `${id}-hint` }, entry.hint) : null;
  const fault = h("span", { class: "fault", id: `${id}-fault` });
  const input = h("input", {
    id, name: entry.name, type: entry.type, autocomplete: entry.autocomplete, required: !entry.optional, value: entry.value ?? "",
    autocapitalize: entry.type === "text" ? null : "none", spellcheck: "false", "aria-describedby": [hint ? `${id}-hint` : "", `${id}-fault`].filter(Boolean).join(" "),
  });
  input.value = entry.value ?? "";
  return { entry, input, fault, wrap: h("div", { class: "field" }, h("label", { for: id }, entry.label), input, hint, fault) };
}

/** Put faults beside their fields; whether there were any. @param {ReturnType<typeof entryField>[]} fields @param {Record<string, string>} faults */
function beside(fields, faults) {
  let first = true;
  for (const { entry, input, fault, wrap } of fields) {
    const text = faults[entry.name] ?? "";
    fault.textContent = text;
    wrap.classList.toggle("wrong", text !== "");
    if (text) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
    if (text && first) {
      input.focus();
      first = false;
    }
  }
  return !first;
}
