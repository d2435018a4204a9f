/** What a person did, step by step, so that it can be undone: each paste, fill or typing is one step, known by the records' ids. */

import { same } from "./readings.js";
import { removal } from "./removals.js";

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Row} Row */
/** @typedef {import("./sheet.js").Typed} Typed */
/** @typedef {import("./readings.js").Held} Held */

/**
 * @typedef {object} Written
 * @property {string} id
 * @property {string} name
 * @property {Held} before
 * @property {Held} after
 *
 * @typedef {object} Step
 * @property {string} label what was done, as in 'Paste of 12 cells'
 * @property {Written[]} cells
 * @property {string[]} born
 * @property {{ id: string, row: Row, cells: Record<string, Held> }[]} gone
 *
 * @typedef {object} Undone
 * @property {string} label
 * @property {string[]} ids the rows that were touched
 * @property {number} left cells that somebody else changed since, and that stay as they are
 * @property {string[]} restore records that only the service can bring back
 */

const MOST = 200;

export class Steps {
  /** @param {Sheet} sheet @param {{ bears: boolean }} kind */
  constructor(sheet, kind) {
    this.sheet = sheet;
    this.kind = kind;
    /** @type {Step[]} */
    this.done = [];
    /** @type {Step[]} */
    this.undone = [];
  }

  /**
   * Write cells, making rows for those whose id is not of a row yet, as one step.
   * @param {string} label
   * @param {readonly (Typed & { base?: unknown })[]} cells
   * @param {readonly string[]} [born] rows that were made for it
   * @returns {Step}
   */
  write(label, cells, born = []) {
    /** @type {Step} */
    const step = { label, cells: [], born: [...born], gone: [] };
    for (const { id, name, text, ...seen } of cells) {
      if (!this.sheet.writable(id, name)) continue;
      const before = this.sheet.held(id, name);
      const after = this.sheet.read(id, name, text);
      if (before.text === after.text && before.fault === after.fault && !("base" in seen)) continue;
      this.sheet.put(id, name, after, seen);
      step.cells.push({ id, name, before, after });
    }
    this.keep(step);
    this.sheet.tell(touched(step), born.length > 0);
    return step;
  }

  /** Remove rows, as one step. @param {string} label @param {readonly string[]} ids @returns {Step} */
  remove(label, ids) {
    /** @type {Step} */
    const step = { label, cells: [], born: [], gone: [] };
    for (const id of ids) this.takeAway(step, id);
    this.keep(step);
    this.sheet.tell(ids, true);
    return step;
  }

  /** @param {Step} step @param {string} id */
  takeAway(step, id) {
    const { sheet } = this;
    const row = sheet.rows.get(id);
    if (!row || sheet.gone.has(id)) return;
    /** @type {Record<string, Held>} */
    const cells = {};
    for (const [name, column] of sheet.columns) if (column.editable) cells[name] = sheet.held(id, name);
    step.gone.push({ id, row, cells });
    const underway = [...(sheet.edits.get(id)?.values() ?? [])].some((edit) => sheet.flight.has(edit));
    if (sheet.born.has(id) && !underway) sheet.forget([id]);
    else sheet.gone.set(id, removal(sheet, id));
  }

  /** @param {Step} step */
  keep(step) {
    if (step.cells.length === 0 && step.born.length === 0 && step.gone.length === 0) return;
    this.done.push(step);
    if (this.done.length > MOST) this.done.shift();
    this.undone = [];
  }

  /** @returns {Undone | null} */
  undo() {
    const step = this.done.pop();
    if (!step) return null;
    /** @type {Step} */
    const back = { label: step.label, cells: [], born: [], gone: [] };
    const made = new Set(step.born);
    const left = this.putBack(step.cells, "after", "before", back, made);
    for (const id of step.born) this.takeAway(back, id);
    const restore = this.bringBack(step, back);
    this.undone.push(back);
    this.sheet.tell(touched(step), step.born.length > 0 || step.gone.length > 0);
    return { label: step.label, ids: touched(step), left, restore };
  }

  /** @returns {Undone | null} */
  redo() {
    const step = this.undone.pop();
    if (!step) return null;
    /** @type {Step} */
    const again = { label: step.label, cells: [], born: [], gone: [] };
    const restore = this.bringBack(step, again);
    const left = this.putBack(step.cells, "before", "after", again, new Set());
    for (const id of step.born) this.takeAway(again, id);
    this.done.push(again);
    this.sheet.tell(touched(again), true);
    return { label: step.label, ids: touched(again), left, restore };
  }

  /**
   * Cells as they were on one side of the step, where they still are as on the other. The step that is built says it the way it was done:
   * `before` and `after` keep their places, so that undo and redo read the same record from both ends. Rows that go as a whole are left out.
   * @param {readonly Written[]} cells @param {"before" | "after"} from @param {"before" | "after"} to @param {Step} into
   * @param {ReadonlySet<string>} whole
   */
  putBack(cells, from, to, into, whole) {
    let left = 0;
    for (const cell of cells) {
      if (whole.has(cell.id)) into.cells.push(cell);
      if (whole.has(cell.id) || !this.sheet.rows.has(cell.id)) continue;
      const now = this.sheet.held(cell.id, cell.name);
      const there = alike(now, cell[to]);
      if (!there && !alike(now, cell[from])) left += 1;
      else into.cells.push(cell);
      if (!there && alike(now, cell[from])) this.sheet.put(cell.id, cell.name, cell[to]);
    }
    return left;
  }

  /** @param {Step} step @param {Step} into */
  bringBack(step, into) {
    /** @type {string[]} */
    const restore = [];
    for (const { id, row, cells } of step.gone) {
      if (this.sheet.gone.has(id) && this.sheet.gone.get(id)?.state !== "saving") {
        this.sheet.gone.delete(id);
        into.born.push(id);
      } else if (this.kind.bears && !id.startsWith("new:")) {
        restore.push(id);
        into.born.push(id);
      } else {
        const made = this.again(id, row, cells, step, into);
        into.born.push(made);
      }
    }
    return restore;
  }

  /** A removed row, typed anew: it has another id, and what knew it by the old one knows it by that. @param {string} id @param {Row} row @param {Record<string, Held>} cells @param {...Step} steps */
  again(id, row, cells, ...steps) {
    const { id: _id, version: _version, ...values } = row;
    const blanks = Object.fromEntries(Object.keys(cells).map((name) => [name, undefined]));
    const made = this.sheet.bear({ ...values, ...blanks });
    for (const [name, held] of Object.entries(cells)) if (held.text !== "") this.sheet.put(made, name, held);
    this.rename(id, made, steps);
    return made;
  }

  /** @param {string} before @param {string} now @param {Step[]} [more] steps that are in neither stack just now */
  rename(before, now, more = []) {
    for (const step of [...this.done, ...this.undone, ...more]) {
      for (const cell of step.cells) if (cell.id === before) cell.id = now;
      for (const gone of step.gone) if (gone.id === before) gone.id = now;
      step.born = step.born.map((id) => (id === before ? now : id));
    }
  }
}

/** @param {Held} one @param {Held} other */
function alike(one, other) {
  return one.fault || other.fault ? one.text === other.text : same(one.value, other.value) && one.text === other.text;
}

/** @param {Step} step */
function touched(step) {
  return [...new Set([...step.cells.map((cell) => cell.id), ...step.born, ...step.gone.map((one) => one.id)])];
}
