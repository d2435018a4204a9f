/** One field of a layer or of the sample: typed, offered, saved by itself, marked with what became of it. */

import { Offers } from "../../grid/offers.js";
import { paint } from "../../grid/swatches.js";
import { keyOf } from "../../model/bench/fields.js";
import { head } from "../../model/sheet/columns.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { talkMark } from "../parts/talking.js";

/** @typedef {import("../../model/bench/desk.js").Bench} Bench */
/** @typedef {import("../../model/bench/desk.js").Of} Of */
/** @typedef {import("../../model/sheet/columns.js").Column} Column */
/** @typedef {import("../../grid/swatches.js").Swatches} Swatches */

/**
 * @typedef {object} Host
 * @property {Bench} bench
 * @property {Swatches} swatches
 * @property {() => void} written
 * @property {(id: string, name: string) => number} talk how many threads are open on a field
 * @property {(of: Of, name: string) => void} here the person is in this field now
 */

const HINTS = { date: "2026-05-14", munsell: "5GY 6/4 or N 9", list: "parted by ;" };
const PAUSE = 500;
const MARKS = { clean: "", unsaved: "○ unsaved", saving: "◌ saving", saved: "✓ saved", refused: "✕ refused", clash: "≠ two values" };
/** What is sent while one is still typing: any beginning of such a text is a text. */
const OPEN = new Set(["text", "long"]);

export class FieldBox {
  /** @param {Host} host @param {Of} of @param {Column} column */
  constructor(host, of, column) {
    this.host = host;
    this.of = of;
    this.column = column;
    this.id = "";
    this.touched = false;
    this.session = "";
    /** @type {unknown} */
    this.base = undefined;
    this.waiting = 0;
    /** @type {Offers | null} */
    this.offers = null;
    const id = newId(`bench-${column.name}`);
    const digit = of === "layer" ? keyOf(column.name) : "";
    const reading = !column.editable;
    this.input = h(column.type === "long" ? "textarea" : "input", {
      id, autocomplete: "off", "aria-describedby": `${id}-state`, placeholder: reading ? "" : (HINTS[/** @type {keyof typeof HINTS} */ (column.type)] ?? ""),
      readonly: reading, rows: column.type === "long" ? 2 : null, spellcheck: OPEN.has(column.type) ? "true" : "false", "data-field": column.name,
      "aria-keyshortcuts": digit || null, inputmode: column.type === "number" ? "decimal" : null,
      oninput: () => this.typed(), onfocus: () => this.enter(), onblur: () => this.leave(),
    });
    this.swatch = column.type === "munsell" ? h("span", { class: "swatch editing", "aria-hidden": "true" }) : null;
    this.mark = h("span", { class: "cellmark" });
    this.talked = h("span");
    this.state = h("div", { class: "fieldstate", id: `${id}-state` });
    this.element = h("div", { class: `field benchfield of-${column.name}` },
      h("label", { for: id }, digit && h("kbd", { "aria-hidden": "true" }, digit), digit && " ", head(column), column.required && h("span", { class: "needed" }, " needed"), " ", this.mark, this.talked),
      h("div", { class: "withswatch" }, this.input, this.swatch), this.state);
  }

  get sheet() {
    return this.host.bench.sheet(this.of);
  }

  /** Show another record's field. @param {string} id */
  bind(id) {
    if (this.id !== id) this.commit();
    this.id = id;
    this.touched = false;
    this.refresh();
    if (document.activeElement === this.input) this.enter();
  }

  /** A new record is known by another name now. @param {string} id */
  rename(id) {
    this.id = id;
  }

  refresh() {
    const known = this.id !== "" && this.sheet.rows.has(this.id);
    this.element.hidden = !known;
    if (!known) return;
    const cell = this.sheet.cell(this.id, this.column.name);
    if (!this.touched && this.input.value !== cell.text) this.input.value = cell.text;
    const needed = cell.state === "refused" && cell.text === "" && this.sheet.born.has(this.id);
    this.mark.textContent = needed ? "" : MARKS[cell.state];
    refill(this.talked, talkMark(this.host.talk(this.id, this.column.name)));
    if (cell.state === "refused" && !needed) this.input.setAttribute("aria-invalid", "true");
    else this.input.removeAttribute("aria-invalid");
    this.element.classList.toggle("wrong", cell.state === "refused" && !needed);
    this.element.classList.toggle("two", cell.state === "clash");
    const colour = this.swatch && this.host.swatches.of(this.input.value.trim());
    if (this.swatch) paint(this.swatch, colour);
    this.tell(cell, needed, colour?.fault ?? "");
  }

  /** @param {import("../../model/sheet/sheet.js").Cell} cell @param {boolean} needed @param {string} impossible what the notation being typed cannot be */
  tell(cell, needed, impossible) {
    const reason = needed ? "Needed before the layer can be saved." : cell.state === "refused" && !this.touched ? cell.reason : impossible;
    const key = JSON.stringify([this.id, cell.state, reason, cell.state === "clash" ? [cell.text, cell.theirs] : ""]);
    if (this.state.dataset["key"] === key) return;
    this.state.dataset["key"] = key;
    if (cell.state !== "clash") {
      refill(this.state, reason, cell.state === "refused" && !needed && [" ", button("Put back", () => this.choose("theirs"), { class: "quiet" })]);
      return;
    }
    if (cell.removed) {
      refill(this.state, `You removed this layer when it said “${cell.text}”. Recorded since: “${cell.theirs}”. `, button("Remove it all the same", () => this.choose("mine"), { class: "quiet" }), " ",
        button("Keep the layer", () => this.choose("theirs"), { class: "quiet" }));
      return;
    }
    refill(this.state, `You: “${cell.text}”. Recorded: “${cell.theirs}”. `, button("Keep mine", () => this.choose("mine"), { class: "quiet" }), " ",
      button("Take theirs", () => this.choose("theirs"), { class: "quiet" }));
  }

  /** @param {"mine" | "theirs"} whose */
  choose(whose) {
    if (whose === "mine") this.sheet.keepMine(this.id, this.column.name);
    else this.sheet.takeTheirs(this.id, this.column.name);
    this.touched = false;
    this.host.written();
    this.input.focus();
  }

  enter() {
    const { sheet, id, column } = this;
    this.session = newId("stay");
    this.base = sheet.edit(id, column.name) ? sheet.edit(id, column.name)?.base : sheet.rows.get(id)?.[column.name];
    this.host.here(this.of, column.name);
    if (column.type === "word" && column.editable && !this.offers) {
      this.offers = new Offers(this.input, () => sheet.context.words[column.words ?? ""] ?? [], column.label);
      this.offers.narrow(this.input.value, false);
    }
    if (this.input instanceof HTMLInputElement && column.editable) this.input.select();
  }

  typed() {
    this.touched = true;
    this.offers?.narrow(this.input.value, true);
    clearTimeout(this.waiting);
    if (OPEN.has(this.column.type)) this.waiting = window.setTimeout(() => this.commit(), PAUSE);
    else this.waiting = window.setTimeout(() => this.refresh(), 120);
  }

  leave() {
    this.take();
    this.offers?.destroy();
    this.offers = null;
    this.input.removeAttribute("aria-activedescendant");
    this.input.removeAttribute("aria-expanded");
    this.input.removeAttribute("aria-controls");
    this.input.removeAttribute("role");
    this.commit();
  }

  /** The word that is lit is what is meant, if something was typed or walked to. */
  take() {
    const chosen = this.offers?.chosen();
    if (!chosen || this.input.value.trim() === chosen || (!this.touched && !this.walked)) return;
    this.input.value = chosen;
    this.touched = true;
  }

  walked = false;

  /** @param {number} by @returns {boolean} */
  walk(by) {
    this.walked = this.offers?.walk(by) ?? false;
    return this.walked;
  }

  commit() {
    clearTimeout(this.waiting);
    this.walked = false;
    if (!this.touched || !this.sheet.rows.has(this.id)) return;
    this.touched = false;
    this.host.bench.type(this.of, this.id, this.column.name, this.input.value, { base: this.base, session: this.session });
    this.refresh();
    this.host.written();
  }

  focus() {
    this.input.focus();
    this.input.scrollIntoView({ block: "nearest" });
  }
}
