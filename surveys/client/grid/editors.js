/** The typed editors: one line of text with offers from a closed list or of records' names, a live swatch beside a Munsell notation, long texts. */

import { Calendar } from "./calendar.js";
import { Offers } from "./offers.js";
import { make } from "./make.js";
import { paint } from "./swatches.js";

/** @typedef {import("../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../model/sheet/columns.js").Column} Column */
/** @typedef {import("./swatches.js").Swatches} Swatches */
/** @typedef {import("slickgrid").EditorArguments} EditorArguments */

/**
 * How an editing was begun.
 * @typedef {{ typed: string | null }} Beginning what was typed to begin it, in place of what stood there; null if what stood there is edited
 */

const HINTS = { date: "2026-05-14", munsell: "5GY 6/4 or N 9", list: "parted by ;", year: "1838", number: "12.5", whole: "3" };
const SWATCH_PAUSE = 120;

/**
 * A class of editors for a column, as the library wants it.
 * @param {Desk} desk @param {Column} column @param {Swatches} swatches @param {Beginning} beginning
 */
export function editorFor(desk, column, swatches, beginning) {
  return class CellEditor {
    /** @param {EditorArguments} given */
    constructor(given) {
      this.entry = given.item;
      this.container = given.container;
      const kind = column.type === "long" ? "textarea" : "input";
      this.input = /** @type {HTMLInputElement | HTMLTextAreaElement} */ (make(kind, "celleditor"));
      this.input.setAttribute("aria-label", column.unit ? `${column.label}, in ${column.unit}` : column.label);
      if (column.type in HINTS) this.input.placeholder = HINTS[/** @type {keyof typeof HINTS} */ (column.type)];
      this.input.autocomplete = "off";
      this.input.spellcheck = column.type === "long";
      this.container.append(this.input);
      this.swatch = column.type === "munsell" ? make("span", "swatch editing", "", { "aria-hidden": "true" }) : null;
      if (this.swatch) this.container.append(this.swatch);
      this.calendar = column.type === "date" ? new Calendar(this.input) : null;
      const offered = offeredFor(desk, column);
      this.offers = offered ? new Offers(this.input, offered, column.label) : null;
      this.first = "";
      this.base = undefined;
      // Begun by typing, the arrows finish it, as in any spreadsheet; begun otherwise, they move within the text.
      this.typing = beginning.typed !== null;
      this.touched = false;
      this.waiting = 0;
      this.input.addEventListener("input", () => {
        this.touched = true;
        this.changed();
      });
      this.input.addEventListener("compositionstart", () => { this.typing = false; });
    }

    init() {}

    /** @param {{ id: string }} entry */
    loadValue(entry) {
      const cell = desk.sheet.cell(entry.id, column.name);
      this.first = cell.text;
      this.base = desk.sheet.edit(entry.id, column.name) ? desk.sheet.edit(entry.id, column.name)?.base : desk.sheet.rows.get(entry.id)?.[column.name];
      this.input.value = beginning.typed ?? cell.text;
      beginning.typed = null;
      this.focus();
      const end = this.input.value.length;
      this.input.setSelectionRange(end, end);
      this.changed();
    }

    changed() {
      this.offers?.narrow(this.input.value, this.typing || this.touched);
      this.calendar?.follow();
      if (!this.swatch) return;
      clearTimeout(this.waiting);
      this.waiting = setTimeout(() => this.swatch && paint(this.swatch, swatches.of(this.input.value.trim())), SWATCH_PAUSE);
    }

    /** Colours have become known. */
    coloured() {
      if (this.swatch) paint(this.swatch, swatches.of(this.input.value.trim()));
    }

    /** The library asks with nothing pressed; a word that is lit is what is meant. */
    serializeValue() {
      return this.offers?.chosen() ?? this.input.value;
    }

    isValueChanged() {
      return this.serializeValue() !== this.first;
    }

    // The service judges; whoever typed something wrong is not locked in the cell.
    validate() {
      return { valid: true, msg: null };
    }

    applyValue() {}

    focus() {
      this.input.focus({ preventScroll: true });
    }

    destroy() {
      clearTimeout(this.waiting);
      this.offers?.destroy();
      this.calendar?.destroy();
      this.swatch?.remove();
      this.input.remove();
    }
  };
}

/** @param {Desk} desk @param {Column} column @returns {(() => readonly string[]) | null} */
function offeredFor(desk, column) {
  const { context } = desk.sheet;
  if (column.type === "word") return () => context.words[column.words ?? ""] ?? [];
  if (column.type === "reference") return () => context.references.all(column.refers ?? "");
  return null;
}
