/**
 * A register as somebody works at it: the sheet, what was done to it, what is to be sent, and which rows stand where. Whoever shows it asks
 * here and is told what to show anew.
 */

import { usual } from "./address.js";
import { chosen, entries, passing } from "./arrange.js";
import { Marks } from "../talk.js";
import { Outbox } from "./outbox.js";
import { MOST_ROWS, cleared, copied, filledDown, filledOn, filledRight, pasted } from "./ranges.js";
import { Sheet } from "./sheet.js";
import { Steps } from "./steps.js";

/** @typedef {import("./address.js").Look} Look */
/** @typedef {import("./arrange.js").Entry} Entry */
/** @typedef {import("./columns.js").SheetKind} SheetKind */
/** @typedef {import("./ranges.js").Range} Range */
/** @typedef {import("./readings.js").Context} Context */
/** @typedef {import("./sheet.js").Told} Told */
/** @typedef {import("./sheet.js").Typed} Typed */
/** @typedef {import("./outbox.js").Ways} Ways */

/** What a new row takes from the one that it is put beside. */
const INHERITED = new Set(["space", "element", "sample", "element_class"]);

export class Desk {
  /**
   * @param {SheetKind} kind
   * @param {Context} context
   * @param {Ways} ways
   * @param {{ writes: boolean }} may
   */
  constructor(kind, context, ways, may) {
    this.kind = kind;
    const columns = may.writes ? kind.columns : kind.columns.map((one) => ({ ...one, editable: false }));
    this.writes = may.writes;
    this.makes = may.writes && kind.makes;
    this.sheet = new Sheet(columns, context);
    this.steps = new Steps(this.sheet, kind);
    this.outbox = new Outbox(this.sheet, this.steps, kind.together, ways);
    /** Where threads are open; the screen says. */
    this.talk = new Marks();
    /** @type {Look} */
    this.look = usual();
    /** @type {string[]} */
    this.order = [];
    /** @type {Set<string>} */
    this.closed = new Set();
    /** @type {Entry[]} */
    this.entries = [];
    /** @type {Map<string, number>} */
    this.places = new Map();
    /** @type {string | null} where rows that are made now go */
    this.beside = null;
    this.sheet.listen((told) => this.follow(told));
  }

  /** Filter, sort and group anew. @param {Partial<Look>} [look] */
  arrange(look = {}) {
    Object.assign(this.look, look);
    this.order = chosen(this.sheet, this.look);
    this.lay();
  }

  /** Open or close a group. @param {string} id */
  toggle(id) {
    if (!this.closed.delete(id)) this.closed.add(id);
    this.lay();
  }

  lay() {
    this.entries = entries(this.sheet, this.order, this.look.groups, this.closed);
    this.places = new Map(this.entries.map((entry, place) => [entry.id, place]));
  }

  /** Rows keep their places whatever is typed; new ones come where they were made, or last. @param {Told} told */
  follow(told) {
    // Others may have told of a new record before the answer that it was made came.
    if (told.renamed.size > 0) this.order = [...new Set(this.order.map((id) => told.renamed.get(id) ?? id))];
    if (!told.rows) return;
    const ids = new Set(this.sheet.ids());
    const known = new Set(this.order);
    const passes = passing(this.sheet, this.look);
    const fresh = told.ids.filter((id) => ids.has(id) && !known.has(id) && (this.sheet.born.has(id) || passes(id)));
    this.order = this.order.filter((id) => ids.has(id));
    const at = this.beside === null ? -1 : this.order.indexOf(this.beside);
    this.order.splice(at < 0 ? this.order.length : at + 1, 0, ...new Set(fresh));
    this.lay();
  }

  /** @param {string} id @param {string} name @param {string} text @param {{ base?: unknown }} [seen] */
  type(id, name, text, seen = {}) {
    return this.steps.write("typing", [{ id, name, text, ...seen }]);
  }

  /** @param {Range} range */
  copy(range) {
    return copied(this.sheet, range);
  }

  /**
   * Paste a text.
   * @param {string} text @param {Range} range @param {Range} onward
   * @returns {{ refusal: string, said: string, cells: number, ids: string[], width: number }}
   */
  paste(text, range, onward) {
    const plan = pasted(this.sheet, text, range, onward, this.makes);
    if (plan.refusal) return { refusal: plan.refusal, said: "", cells: 0, ids: [], width: 0 };
    if (plan.cells.length === 0) return { refusal: "None of these cells can be written. Nothing was pasted.", said: "", cells: 0, ids: [], width: 0 };
    this.beside = onward.ids.at(-1) ?? null;
    const made = Array.from({ length: plan.rows }, () => this.sheet.bear());
    const cells = plan.cells.map((cell) => (cell.id.startsWith("+") ? { ...cell, id: made[Number(cell.id.slice(1))] ?? "" } : cell));
    this.steps.write("paste", cells, made);
    this.beside = null;
    const skipped = plan.skipped.map((name) => this.sheet.column(name).label);
    const more = [made.length > 0 ? `${made.length} new rows.` : "", skipped.length > 0 ? `Not written, since it follows from other records: ${skipped.join(", ")}.` : ""];
    const ids = [...onward.ids.slice(0, plan.height), ...made];
    return { refusal: "", said: [`Pasted ${plan.height} × ${plan.width} cells.`, ...more.filter(Boolean)].join(" "), cells: cells.length, ids, width: plan.width };
  }

  /** @param {Range} range */
  fillDown(range) {
    return this.steps.write("fill", filledDown(this.sheet, range)).cells.length;
  }

  /** @param {Range} range @param {number} [known] */
  fillOn(range, known) {
    return this.steps.write("fill", filledOn(this.sheet, range, known)).cells.length;
  }

  /** @param {Range} range */
  fillRight(range) {
    return this.steps.write("fill", filledRight(this.sheet, range)).cells.length;
  }

  /** What was drawn on from its corner: one number is copied, as spreadsheets do; everything else goes on. @param {Range} range @param {number} known */
  drag(range, known) {
    const first = range.ids[0] ?? "";
    const single = known === 1 && range.names.every((name) => /^-?[\d.,]*$/.test(this.sheet.text(first, name)));
    return single ? this.fillDown(range) : this.fillOn(range, known);
  }

  /** A day in every date of a range. @param {Range} range @param {Date} day */
  today(range, day) {
    const text = [day.getFullYear(), day.getMonth() + 1, day.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
    const cells = range.ids.flatMap((id) => range.names.filter((name) => this.sheet.column(name).type === "date" && this.sheet.writable(id, name)).map((name) => ({ id, name, text })));
    return this.steps.write("date", cells).cells.length;
  }

  /** @param {Range} range */
  clear(range) {
    return this.steps.write("clearing", cleared(this.sheet, range)).cells.length;
  }

  /** Rows below one, which lend them what they are parts of. @param {string | null} beside @param {number} [many] @returns {string[]} */
  insert(beside, many = 1) {
    if (!this.makes) return [];
    this.beside = beside;
    const made = Array.from({ length: Math.min(many, MOST_ROWS) }, () => this.sheet.bear());
    const cells = beside === null ? [] : made.flatMap((id, index) => this.inherited(beside, id, index));
    this.steps.write("new rows", cells, made);
    this.beside = null;
    return made;
  }

  /** @param {string} from @param {string} id @param {number} index @returns {Typed[]} */
  inherited(from, id, index) {
    const { sheet } = this;
    const position = this.kind.name === "layers" ? Number(sheet.value(from, "position")) : 0;
    return [...sheet.columns.keys()].filter((name) => INHERITED.has(name) && sheet.writable(id, name) && this.kind.name !== "evidence")
      .map((name) => ({ id, name, text: sheet.text(from, name) })).concat(position ? [{ id, name: "position", text: String(position + 1 + index) }] : []);
  }

  /** @param {readonly string[]} ids */
  remove(ids) {
    return this.writes ? this.steps.remove("removal", ids).gone.length : 0;
  }

  undo() {
    return this.steps.undo();
  }

  redo() {
    return this.steps.redo();
  }

  /** Of both values in every clash, one and the same side's. @param {"mine" | "theirs"} whose */
  settleClashes(whose) {
    for (const { id, name } of this.sheet.inState("clash")) {
      if (whose === "mine") this.sheet.keepMine(id, name);
      else this.sheet.takeTheirs(id, name);
    }
  }
}
