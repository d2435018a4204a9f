/**
 * The sheet: the records as the service last told them, and over them what was typed and is not saved yet. It knows rows by the records' ids
 * and cells by field; where they stand on a screen is not its concern.
 */

import { writable } from "./columns.js";
import { reconsider, returned, settleRemoval, standing } from "./removals.js";
import { read, same, textOf } from "./readings.js";

/** @typedef {import("./columns.js").Column} Column */
/** @typedef {import("./readings.js").Context} Context */
/** @typedef {import("./readings.js").Held} Held */
/** @typedef {Record<string, unknown> & { id: string, version: number }} Row */

/**
 * What was typed into a cell and is not saved. It is never altered, only replaced: so one knows whether what was sent is still what stands.
 * @typedef {object} Edit
 * @property {string} text
 * @property {unknown} value
 * @property {string} fault why the text means nothing here
 * @property {string} refusal why the service did not take it
 * @property {unknown} base the record's value that it was typed over
 * @property {boolean} clash somebody else wrote another value meanwhile
 *
 * @typedef {"clean" | "unsaved" | "saving" | "saved" | "refused" | "clash"} State
 * @typedef {{ text: string, state: State, reason: string, theirs: string, removed?: boolean }} Cell what it holds, its state, and where two people
 *   wrote what the other did; `removed` where one of them removed the row
 * @typedef {{ id: string, name: string, text: string }} Typed
 * @typedef {import("./removals.js").Removal} Removal
 *
 * @typedef {object} Told what changed, for whoever shows it
 * @property {string[]} ids rows whose cells look different now
 * @property {boolean} rows rows came or went
 * @property {Map<string, string>} renamed new records by the id that they had here, and the one that they have now
 */

export class Sheet {
  /**
   * @param {readonly Column[]} columns
   * @param {Context} context
   */
  constructor(columns, context) {
    this.columns = new Map(columns.map((column) => [column.name, column]));
    this.context = context;
    /** @type {Map<string, Row>} */
    this.rows = new Map();
    /** @type {Map<string, Map<string, Edit>>} */
    this.edits = new Map();
    /** @type {Set<string>} rows that the service does not know yet */
    this.born = new Set();
    /** @type {Map<string, Removal>} */
    this.gone = new Map();
    /** @type {Set<Edit>} what is on its way */
    this.flight = new Set();
    /** @type {Map<string, Set<string>>} */
    this.saved = new Map();
    /** @type {((told: Told) => void)[]} */
    this.listeners = [];
    this.last = 0;
  }

  /** @param {(told: Told) => void} listener */
  listen(listener) {
    this.listeners.push(listener);
  }

  /** @param {Iterable<string>} ids @param {boolean} [rows] @param {Map<string, string>} [renamed] */
  tell(ids, rows = false, renamed = new Map()) {
    const told = { ids: [...ids], rows, renamed };
    if (told.ids.length > 0 || rows) for (const listener of this.listeners) listener(told);
  }

  /** Rows that can be seen, those that are about to be removed left out. */
  ids() {
    const leaving = new Set(["unsaved", "saving"]);
    return [...this.rows.keys()].filter((id) => !leaving.has(this.gone.get(id)?.state ?? ""));
  }

  /** @param {string} id @param {string} name */
  edit(id, name) {
    return this.edits.get(id)?.get(name);
  }

  /** @param {string} name @returns {Column} */
  column(name) {
    const found = this.columns.get(name);
    if (!found) throw new Error(`No column ${name}`);
    return found;
  }

  /** Whether one can type there. @param {string} id @param {string} name */
  writable(id, name) {
    return this.rows.has(id) && writable(this.column(name), this.born.has(id));
  }

  /** @param {string} id @param {string} name */
  text(id, name) {
    const row = this.rows.get(id);
    if (!row) return "";
    return this.edit(id, name)?.text ?? textOf(this.column(name), row, this.context);
  }

  /** The value as it is typed, or as it is recorded. @param {string} id @param {string} name */
  value(id, name) {
    const edit = this.edit(id, name);
    return edit ? edit.value : this.rows.get(id)?.[name];
  }

  /** The cell as it would be put back. @param {string} id @param {string} name @returns {Held} */
  held(id, name) {
    const edit = this.edit(id, name);
    if (edit) return { text: edit.text, value: edit.value, fault: edit.fault };
    return { text: this.text(id, name), value: this.rows.get(id)?.[name] ?? this.read(id, name, "").value, fault: "" };
  }

  /** @param {string} id @param {string} name @returns {Cell} */
  cell(id, name) {
    const text = this.text(id, name);
    const edit = this.edit(id, name);
    if (!edit) return this.plainCell(id, name, text);
    const reason = edit.fault || edit.refusal;
    if (reason) return { text, state: "refused", reason, theirs: "" };
    if (edit.clash) return { text, state: "clash", reason: "Somebody else changed this meanwhile.", theirs: this.theirs(id, name) };
    return { text, state: this.flight.has(edit) ? "saving" : "unsaved", reason: "", theirs: "" };
  }

  /** @param {string} id @param {string} name @param {string} text @returns {Cell} */
  plainCell(id, name, text) {
    if (this.born.has(id) && text === "" && this.column(name).required) {
      return { text, state: "refused", reason: "This is needed before the row can be saved.", theirs: "" };
    }
    const gone = this.gone.get(id);
    const back = gone && returned(this, gone, id, name);
    if (back) return back;
    return { text, state: this.saved.get(id)?.has(name) ? "saved" : "clean", reason: "", theirs: "" };
  }

  /** What the record itself says, under what is typed. @param {string} id @param {string} name */
  theirs(id, name) {
    const row = this.rows.get(id);
    return row ? textOf(this.column(name), row, this.context) : "";
  }

  /**
   * Records as the service has them; what is typed over them stays.
   * @param {readonly Row[]} rows
   */
  load(rows) {
    const fresh = rows.some((row) => !this.rows.has(row.id));
    const back = rows.filter((row) => this.rebase(row));
    this.tell(rows.map((row) => row.id), fresh || back.length > 0);
  }

  /**
   * A record as it now is. What was typed over a value that is still there is simply sent again; over another, it is a clash; if it is the
   * same as theirs there is nothing left to save.
   * @param {Row} row
   * @returns {boolean} whether a row that was to go came back into sight, since somebody else changed it
   */
  rebase(row) {
    const known = this.rows.get(row.id);
    if (known && known.version > row.version) return false;
    this.rows.set(row.id, row);
    const back = reconsider(this, row);
    const edits = this.edits.get(row.id) ?? new Map();
    for (const [name, edit] of [...edits]) {
      const now = row[name];
      if (edit.fault === "" && same(now, edit.value)) this.drop(row.id, name);
      else if (!same(now, edit.base) && !this.flight.has(edit)) edits.set(name, { ...edit, clash: true });
    }
    return back;
  }

  /** @param {string} id @param {string} name */
  drop(id, name) {
    const edits = this.edits.get(id);
    const edit = edits?.get(name);
    if (!edits || !edit) return;
    edits.delete(name);
    this.flight.delete(edit);
    if (edits.size === 0) this.edits.delete(id);
  }

  /** Records that are there no more; what was typed over them goes with them and is answered. @param {readonly string[]} ids */
  forget(ids) {
    /** @type {Typed[]} */
    const lost = [];
    for (const id of ids) {
      for (const [name, edit] of this.edits.get(id) ?? []) lost.push({ id, name, text: edit.text });
      for (const name of [...(this.edits.get(id)?.keys() ?? [])]) this.drop(id, name);
      this.rows.delete(id);
      this.born.delete(id);
      this.gone.delete(id);
      this.saved.delete(id);
    }
    if (ids.length > 0) this.tell(ids, true);
    return lost;
  }

  /** A row that the service does not know yet. @param {Record<string, unknown>} [values] what is known of it without typing */
  bear(values = {}) {
    this.last += 1;
    const id = `new:${this.last}`;
    this.rows.set(id, { ...values, id, version: 0 });
    this.born.add(id);
    return id;
  }

  /** What a text means in a cell. @param {string} id @param {string} name @param {string} text @returns {Held} */
  read(id, name, text) {
    return read(this.column(name), text, this.context, this.rows.get(id) ?? {});
  }

  /**
   * Put something into a cell. `base` is the value that the person had before him when he began to type; if the record says something else
   * by now, and not what he typed, both stand until he chooses.
   * @param {string} id @param {string} name @param {Held} given @param {{ base?: unknown }} [seen]
   */
  put(id, name, given, seen = {}) {
    const row = this.rows.get(id);
    if (!row) return;
    // A row that is not saved yet waits for what it needs; a record cannot lose it again, as by undoing what filled a new row.
    const held = given.text === "" && !given.fault && !this.born.has(id) && this.column(name).required ? { ...given, fault: "This is needed. Put back what is recorded, or remove the row." } : given;
    const before = this.edit(id, name);
    const now = row[name];
    const base = "base" in seen ? seen.base : before ? before.base : now;
    this.saved.get(id)?.delete(name);
    this.retry(id);
    const underway = before !== undefined && this.flight.has(before);
    if (held.fault === "" && same(held.value, now) && !underway) this.drop(id, name);
    else {
      const edits = this.edits.get(id) ?? new Map();
      edits.set(name, { ...held, refusal: "", base, clash: held.fault === "" && !this.born.has(id) && !same(now, base) && !underway });
      this.edits.set(id, edits);
    }
  }

  /** What the service refused in a row is tried again once the row is changed: the fault may have lain in another cell. @param {string} id */
  retry(id) {
    const edits = this.edits.get(id);
    for (const [name, edit] of edits ?? []) {
      if (edit.refusal) edits?.set(name, { ...edit, refusal: "" });
    }
    if (["refused", "clash"].includes(this.gone.get(id)?.state ?? "")) this.gone.delete(id);
  }

  /** @param {string} id @param {string} name @param {string} refusal */
  refuse(id, name, refusal) {
    const edit = this.edit(id, name);
    if (edit) this.edits.get(id)?.set(name, { ...edit, refusal });
  }

  /** Of both values in a clash, the one typed here. @param {string} id @param {string} name */
  keepMine(id, name) {
    settleRemoval(this, id, "removal");
    const edit = this.edit(id, name);
    if (!edit?.clash) return;
    this.edits.get(id)?.set(name, { ...edit, clash: false, base: this.rows.get(id)?.[name] });
    this.tell([id]);
  }

  /** Of both values in a clash, the one recorded; or back from what was refused. @param {string} id @param {string} name */
  takeTheirs(id, name) {
    settleRemoval(this, id, "change");
    this.drop(id, name);
    this.tell([id]);
  }

  /** A new record is known to the service now. @param {string} id @param {Row} row */
  rename(id, row) {
    const edits = this.edits.get(id);
    this.rows = new Map([...this.rows].map(([one, known]) => (one === id ? [row.id, row] : [one, known])));
    this.born.delete(id);
    this.edits.delete(id);
    if (edits) this.edits.set(row.id, edits);
    const gone = this.gone.get(id);
    this.gone.delete(id);
    if (gone) this.gone.set(row.id, gone);
  }

  /** @returns {{ unsaved: number, refused: number, clashes: number }} */
  counts() {
    const found = { unsaved: 0, refused: 0, clashes: 0 };
    for (const { state } of this.gone.values()) found[state === "refused" ? "refused" : state === "clash" ? "clashes" : "unsaved"] += 1;
    for (const edits of this.edits.values()) {
      for (const edit of edits.values()) {
        if (edit.fault || edit.refusal) found.refused += 1;
        else if (edit.clash) found.clashes += 1;
        else found.unsaved += 1;
      }
    }
    return found;
  }

  /** The cells of that state, in order. @param {State} state @returns {{ id: string, name: string }[]} */
  inState(state) {
    const typed = [...this.edits].flatMap(([id, edits]) => [...edits.keys()].map((name) => ({ id, name })));
    return [...typed, ...standing(this)].filter((one) => this.cell(one.id, one.name).state === state);
  }
}
