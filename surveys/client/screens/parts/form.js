/** The form of one record: typed inputs, faults beside their fields, and both values where two people changed one. */

import { compare } from "../../model/clash.js";
import { changed, label, read, shown } from "../../model/fields.js";
import { Problem, sorted } from "../../model/problems.js";
import { h, newId, refill } from "./dom.js";
import { announce, busy, refusalBox, refusals } from "./say.js";

/** @typedef {import("../../model/fields.js").Field} Field */
/** @typedef {Record<string, unknown>} Values */

/**
 * @typedef {object} FormOptions
 * @property {readonly Field[]} fields
 * @property {Values | null} row the record as it was read; null for a new one
 * @property {Record<string, string[]>} words closed lists by name
 * @property {(field: Field, name: string) => Promise<string | null>} resolve the id of a record by its human name
 * @property {(values: Values, row: Values | null) => Promise<Values>} save
 * @property {(row: Values) => void} saved
 * @property {() => void} [leave]
 * @property {(unsaved: boolean) => void} [unsaved]
 * @property {Record<string, string[]>} [offers] names to choose from, by field
 * @property {string} [button]
 * @property {Values} [begun] what stands in the fields of a new record before anything is typed
 * @property {HTMLElement} [inside] more of the record that is entered between the fields and the buttons
 * @property {() => boolean} [more] whether something was changed there
 */

/** @param {FormOptions} options */
export function recordForm(options) {
  return new RecordForm(options).element;
}

class RecordForm {
  /** @param {FormOptions} options */
  constructor(options) {
    this.options = options;
    this.row = options.row;
    this.base = this.textsOf(options.row);
    /** @type {Map<string, { input: Input, fault: HTMLElement, wrap: HTMLElement }>} */
    this.inputs = new Map();
    this.refusals = refusals();
    this.clash = h("div", { class: "clash" });
    this.submit = h("button", { type: "submit", class: "main" }, options.button ?? (options.row ? "Save" : "Make"));
    this.state = h("span", { class: "state", role: "status" });
    this.element = h("form", { class: "record", novalidate: true, oninput: () => this.changedBy(), onsubmit: (event) => this.sent(event) },
      h("div", { class: "fields" }, options.fields.map((field) => this.fieldOf(field))),
      options.inside,
      this.refusals.place,
      this.clash,
      h("p", { class: "buttons" }, this.submit, options.leave && h("button", { type: "button", class: "quiet", onclick: () => this.left() }, "Cancel"), this.state));
    this.element.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && options.leave) this.left();
      if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) this.element.requestSubmit();
    });
  }

  /** @param {Values | null} row @returns {Record<string, string>} */
  textsOf(row) {
    return Object.fromEntries(this.options.fields.map((field) => [field.name, row ? shown(field, row) : ""]));
  }

  /** @param {Field} field */
  fieldOf(field) {
    const id = newId("field");
    const hint = field.hint ? h("span", { class: "hint", id: `${id}-hint` }, field.hint) : null;
    const fault = h("span", { class: "fault", id: `${id}-fault` });
    const described = [hint ? `${id}-hint` : "", `${id}-fault`].filter(Boolean).join(" ");
    const begun = this.row ? undefined : this.options.begun?.[field.name];
    const input = this.inputOf(field, { id, name: field.name, "aria-describedby": described, required: field.required === true,
      readonly: field.fixed === true && this.row !== null });
    input.value = String(begun ?? this.base[field.name] ?? "");
    const names = this.options.offers?.[field.name];
    const list = names ? h("datalist", { id: `${id}-list` }, names.map((name) => h("option", { value: name }))) : null;
    if (list) input.setAttribute("list", `${id}-list`);
    const wrap = h("div", { class: `field ${field.type === "long" || field.type === "words" ? "wide" : ""}` },
      h("label", { for: id }, label(field), field.required && h("span", { class: "needed" }, " needed")), input, list, hint, fault);
    this.inputs.set(field.name, { input, fault, wrap });
    return wrap;
  }

  /** @param {Field} field @param {import("./dom.js").Attributes} attributes @returns {Input} */
  inputOf(field, attributes) {
    if (field.type === "long" || field.type === "words") return h("textarea", { rows: field.type === "words" ? 8 : 3, ...attributes });
    if (field.type === "word") return this.choiceOf(field, attributes);
    const mode = field.type === "number" ? "decimal" : field.type === "whole" ? "numeric" : null;
    return h("input", { type: field.type === "date" ? "date" : "text", inputmode: mode, autocomplete: "off", ...attributes });
  }

  /** @param {Field} field @param {import("./dom.js").Attributes} attributes */
  choiceOf(field, attributes) {
    const words = this.options.words[field.words ?? ""] ?? [];
    const stands = this.base[field.name] ?? "";
    const known = stands && !words.includes(stands) ? [...words, stands] : words;
    return h("select", attributes, h("option", { value: "" }, field.required ? "choose …" : "not recorded"),
      known.map((word) => h("option", { value: word }, word)));
  }

  texts() {
    return Object.fromEntries([...this.inputs].map(([name, { input }]) => [name, input.value]));
  }

  changedBy() {
    const unsaved = changed(this.options.fields, this.base, this.texts()).length > 0 || this.options.more?.() === true;
    this.options.unsaved?.(unsaved);
    this.state.textContent = unsaved ? "Not saved yet." : "";
  }

  left() {
    this.options.unsaved?.(false);
    this.options.leave?.();
  }

  /** @param {SubmitEvent} event */
  sent(event) {
    event.preventDefault();
    busy(this.submit, this.refusals, () => this.save());
  }

  async save() {
    this.beside({});
    const values = await this.values();
    if (values === null) return;
    if (this.row && Object.keys(values).length === 0 && !this.options.more?.()) {
      this.finish(this.row);
      return;
    }
    this.state.textContent = "Saving …";
    try {
      this.finish(await this.options.save(values, this.row));
    } catch (error) {
      this.state.textContent = "Not saved.";
      this.refused(error);
    }
  }

  /** @param {Values} row */
  finish(row) {
    this.options.unsaved?.(false);
    this.state.textContent = "Saved.";
    announce("Saved.");
    refill(this.clash);
    this.options.saved(row);
  }

  /** What is to be sent; null if something cannot be read. @returns {Promise<Values | null>} */
  async values() {
    const texts = this.texts();
    const wanted = this.row ? changed(this.options.fields, this.base, texts) : this.options.fields.filter((field) => texts[field.name] || field.required);
    /** @type {Values} */
    const values = {};
    /** @type {Record<string, string>} */
    const faults = {};
    for (const field of wanted) {
      const { value, fault } = read(field, texts[field.name] ?? "");
      if (fault) faults[field.name] = fault;
      else if (field.type === "reference" && value !== null) {
        const id = await this.options.resolve(field, String(value));
        if (id) values[field.name] = id;
        else faults[field.name] = `There is no ${field.label.toLowerCase()} “${value}” here.`;
      } else values[field.name] = value;
    }
    this.beside(faults);
    return Object.keys(faults).length ? null : values;
  }

  /** @param {unknown} error */
  refused(error) {
    if (!(error instanceof Problem)) throw error;
    if (error.status === 412 && error.current) {
      this.clashed(error.current);
      return;
    }
    const { beside, whole } = sorted(error.places, [...this.inputs.keys()]);
    this.beside(beside);
    if (Object.keys(beside).length === 0 || whole.length) refill(this.refusals.place, refusalBox(error.message, whole));
  }

  /** Put faults beside their fields, and the focus into the first. @param {Record<string, string>} faults */
  beside(faults) {
    let first = true;
    for (const [name, { input, fault, wrap }] of this.inputs) {
      const text = faults[name] ?? "";
      fault.textContent = text;
      wrap.classList.toggle("wrong", text !== "");
      if (text) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
      if (text && first) {
        input.focus();
        first = false;
      }
    }
  }

  /** Somebody changed the record meanwhile. @param {Values} current */
  clashed(current) {
    const { both, theirs } = compare(this.options.fields, this.base, this.texts(), current);
    this.row = current;
    this.base = this.textsOf(current);
    for (const { field, theirs: value } of theirs) this.set(field.name, value);
    if (both.length === 0) {
      const text = theirs.length ? "Somebody else changed other fields of this record meanwhile; they are shown now. Save again." : "Somebody else saved this record meanwhile. Save again.";
      refill(this.clash, h("div", { class: "box", role: "alert" }, h("p", null, text)));
      return;
    }
    refill(this.clash, this.choices(both));
    this.clash.querySelector("input")?.focus();
  }

  /** @param {import("../../model/clash.js").Difference[]} both */
  choices(both) {
    return h("div", { class: "box", role: "alert" },
      h("p", null, h("strong", null, "Somebody else changed this record meanwhile. "), "Choose which value is to stand in each field, then save again."),
      both.map(({ field, mine, theirs }) => {
        const name = newId("choice");
        const choice = (/** @type {string} */ word, /** @type {string} */ value, /** @type {boolean} */ checked) => {
          const id = newId("choose");
          return h("div", { class: "choice" },
            h("input", { type: "radio", name, id, checked, onchange: () => this.set(field.name, value) }),
            h("label", { for: id }, `${word}: `, h("q", null, value || "blank")));
        };
        return h("fieldset", null, h("legend", null, field.label), choice("Yours", mine, true), choice("The record now", theirs, false));
      }));
  }

  /** @param {string} name @param {string} value */
  set(name, value) {
    const found = this.inputs.get(name);
    if (found) found.input.value = value;
    this.changedBy();
  }
}

/** @typedef {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} Input */
