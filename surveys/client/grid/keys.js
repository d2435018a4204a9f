/** The keys of the grid, as in any spreadsheet. They are caught before the library sees them: it has its own ideas of some. */

import { edge } from "../model/sheet/ranges.js";
import { ARROWS, ending } from "./ending.js";

/** @typedef {import("./surface.js").Surface} Surface */
/** @typedef {{ row: number, cell: number }} Spot */

/**
 * @typedef {object} Deeds what keys do beyond the grid
 * @property {() => void} undo
 * @property {() => void} redo
 * @property {() => void} insert
 * @property {() => void} remove
 * @property {() => void} freeze
 * @property {() => void} talk
 * @property {(forward: boolean) => void} leave
 */

export class Keys {
  /** @param {Surface} surface @param {Deeds} deeds @param {AbortSignal} signal */
  constructor(surface, deeds, signal) {
    this.surface = surface;
    this.grid = surface.grid;
    this.deeds = deeds;
    /** @type {Spot | null} where the range that is being drawn ends */
    this.end = null;
    // After Escape the next Tab leaves the grid, so that nobody is caught in it.
    this.leaving = false;
    surface.place.addEventListener("keydown", (event) => this.pressed(event), { capture: true, signal });
    surface.grid.onActiveCellChanged.subscribe(() => { this.end = null; });
  }

  /** @param {KeyboardEvent} event */
  pressed(event) {
    const target = /** @type {Element} */ (event.target);
    if (target.closest(".slick-headerrow, .slick-header") || event.isComposing) return;
    if (this.grid.getCellEditor()) this.inEditor(event);
    else if (event.key === "Tab" && this.leaving) {
      this.leaving = false;
      event.stopPropagation();
    }
    else if (this.inGrid(event)) {
      event.preventDefault();
      event.stopPropagation();
    } else event.stopPropagation();
  }

  /** @param {KeyboardEvent} event @returns {boolean} whether it was meant for the grid */
  inGrid(event) {
    const control = event.ctrlKey || event.metaKey;
    if (event.key !== "Escape" && event.key !== "Shift") this.leaving = false;
    if (event.key in ARROWS) return this.arrow(event, control);
    if (control) return this.withControl(event);
    switch (event.key) {
      case "Home": return this.go({ row: this.from(event).row, cell: 0 }, event.shiftKey);
      case "End": return this.go({ row: this.from(event).row, cell: this.lastCell() }, event.shiftKey);
      case "PageUp": return this.page(-1, event);
      case "PageDown": return this.page(1, event);
      case "Tab": return this.tab(event.shiftKey ? -1 : 1);
      case "Enter": return this.enter(event.shiftKey ? -1 : 1);
      case "F2": return event.shiftKey ? this.talk() : this.edit(null);
      case "F10": return event.shiftKey && this.column();
      case "ContextMenu": return this.column();
      case "F6": return this.leave(!event.shiftKey);
      case "Escape": return this.escape();
      case "Delete": case "Backspace": return this.clear();
      default: return this.begin(event);
    }
  }

  /** @param {KeyboardEvent} event */
  withControl(event) {
    const { surface } = this;
    const key = event.key.toLowerCase();
    if (key === "home") return this.go({ row: 0, cell: 0 }, event.shiftKey);
    if (key === "end") return this.go({ row: this.lastRow(), cell: this.lastCell() }, event.shiftKey);
    if (key === "a") return this.all();
    if (key === "l" && event.shiftKey) return this.column();
    if (key === "f" && event.shiftKey) {
      this.deeds.freeze();
      return true;
    }
    if (event.altKey) return false;
    if (key === "z" || key === "y") {
      if (key === "y" || event.shiftKey) this.deeds.redo();
      else this.deeds.undo();
      return true;
    }
    const range = surface.range();
    if (!surface.desk.writes || !range) return false;
    if (key === "d") return this.wrote(event.shiftKey ? surface.desk.fillOn(range) : surface.desk.fillDown(range), "Filled");
    if (key === "r" && !event.shiftKey) return this.wrote(surface.desk.fillRight(range), "Filled");
    if (key === ";") return this.wrote(surface.desk.today(range, new Date()), "Dated");
    if (key === "enter") this.deeds.insert();
    else if (key === "delete" || key === "backspace") this.deeds.remove();
    else return false;
    return true;
  }

  /** @param {number} cells @param {string} deed */
  wrote(cells, deed) {
    this.surface.host.say(cells === 0 ? "There was nothing to write here." : `${deed} ${cells} cells.`);
    if (cells > 0) this.surface.host.written();
    return true;
  }

  talk() {
    this.deeds.talk();
    return true;
  }

  /** What can be done with the column in which one is. */
  column() {
    const { grid, surface } = this;
    const here = surface.here();
    const node = grid.getActiveCellNode();
    if (here && node) surface.host.column(here.name, surface.place.querySelector(`[data-menu="${CSS.escape(here.name)}"]`) ?? node);
    return true;
  }

  lastRow() {
    return this.surface.entries.length - 1;
  }

  lastCell() {
    return this.surface.names.length - 1;
  }

  /** @returns {Spot} */
  active() {
    return this.grid.getActiveCell() ?? { row: 0, cell: 0 };
  }

  /** Where a movement starts: the far end of the range where it is drawn on, else the active cell. @param {KeyboardEvent} event */
  from(event) {
    return event.shiftKey ? (this.end ?? this.active()) : this.active();
  }

  /** @param {KeyboardEvent} event @param {boolean} far */
  arrow(event, far) {
    if (event.altKey) return event.key === "ArrowDown" && this.edit(null) && this.opened();
    const [down, right] = ARROWS[event.key] ?? [0, 0];
    const start = this.from(event);
    return this.go(far ? this.jump(start, down, right) : { row: start.row + down, cell: start.cell + right }, event.shiftKey, down);
  }

  /** To the edge of what is filled, or to the next that is. @param {Spot} start @param {number} down @param {number} right @returns {Spot} */
  jump(start, down, right) {
    const { entries, names, desk } = this.surface;
    const text = (/** @type {number} */ row, /** @type {number} */ cell) => {
      const entry = entries[row];
      return entry?.kind === "row" ? desk.sheet.text(entry.id, names[cell] ?? "") : "";
    };
    if (down !== 0) return { row: edge((row) => text(row, start.cell) !== "", start.row, down, entries.length), cell: start.cell };
    return { row: start.row, cell: edge((cell) => text(start.row, cell) !== "", start.cell, right, names.length) };
  }

  /** @param {Spot} to @param {boolean} extends_ @param {number} [way] rows that cannot end a range are passed over that way */
  go(to, extends_, way = 0) {
    const { surface, grid } = this;
    let row = Math.max(0, Math.min(this.lastRow(), to.row));
    const cell = Math.max(0, Math.min(this.lastCell(), to.cell));
    if (!extends_) {
      grid.gotoCell(row, cell, false);
      this.end = null;
      return true;
    }
    while (way !== 0 && surface.entries[row]?.kind === "group" && surface.entries[row + way]) row += way;
    if (surface.entries[row]?.kind === "group") return true;
    const active = this.active();
    this.end = { row, cell };
    surface.select(active.row, active.cell, row, cell);
    grid.scrollRowIntoView(row, false);
    grid.scrollCellIntoView(row, cell, false);
    const many = [Math.abs(row - active.row) + 1, Math.abs(cell - active.cell) + 1];
    surface.host.say(`${many[0]} × ${many[1]} cells selected.`);
    return true;
  }

  /** @param {number} way @param {KeyboardEvent} event */
  page(way, event) {
    const { top, bottom } = this.grid.getViewport();
    const start = this.from(event);
    return this.go({ row: start.row + way * Math.max(1, bottom - top - 2), cell: start.cell }, event.shiftKey, way);
  }

  all() {
    const rows = this.surface.entries;
    const first = rows.findIndex((entry) => entry.kind === "row");
    if (first >= 0) this.surface.select(first, 0, rows.findLastIndex((entry) => entry.kind === "row"), this.lastCell());
    this.surface.host.say("All cells selected.");
    return true;
  }

  /** @param {number} way @returns {boolean} */
  tab(way) {
    const { row, cell } = this.active();
    const next = cell + way;
    if (next >= 0 && next <= this.lastCell() && this.surface.entries[row]?.kind === "row") return this.go({ row, cell: next }, false);
    // Past the last cell, and before the first, the key goes on to what comes next in the page.
    if (row + way < 0 || row + way > this.lastRow()) return false;
    return this.go({ row: row + way, cell: way > 0 ? 0 : this.lastCell() }, false);
  }

  /** @param {number} way */
  enter(way) {
    const here = this.surface.here();
    if (here?.entry.kind === "group") {
      this.surface.toggle(here.id);
      return true;
    }
    const { row, cell } = this.active();
    return this.go({ row: row + way, cell }, false);
  }

  /** @param {string | null} typed */
  edit(typed) {
    const here = this.surface.here();
    if (!here || here.entry.kind !== "row") return false;
    if (!this.surface.desk.sheet.writable(here.id, here.name)) {
      this.surface.host.say(`${this.surface.desk.sheet.column(here.name).label} cannot be written here.`);
      return true;
    }
    this.surface.beginning.typed = typed;
    const { row, cell } = this.active();
    this.grid.scrollCellIntoView(row, cell, false);
    this.grid.editActiveCell();
    return true;
  }

  opened() {
    /** @type {any} */ (this.grid.getCellEditor())?.calendar?.open();
    return true;
  }

  /** Typing replaces what stands there. @param {KeyboardEvent} event */
  begin(event) {
    if (event.altKey) return false;
    if (event.key === " " && this.surface.here()?.entry.kind === "group") return this.enter(1);
    if (event.key === "Dead" || event.key === "Process" || event.key === "Unidentified") {
      // What is composed of several keys goes into the editor itself, so the key is left to it.
      this.edit("");
      return false;
    }
    return [...event.key].length === 1 && this.edit(event.key);
  }

  clear() {
    const range = this.surface.range();
    if (!range || !this.surface.desk.writes) return false;
    return this.wrote(this.surface.desk.clear(range), "Cleared");
  }

  escape() {
    const { row, cell } = this.active();
    this.surface.select(row, cell, row, cell);
    this.end = null;
    this.leaving = true;
    this.surface.host.say("Tab now leaves the grid.");
    return true;
  }

  /** @param {boolean} forward */
  leave(forward) {
    this.deeds.leave(forward);
    return true;
  }

  /** @param {KeyboardEvent} event */
  inEditor(event) {
    const editor = /** @type {any} */ (this.grid.getCellEditor());
    const move = ending(event, editor);
    // Everything else is the editor's own: the library would take Home, End and the arrows.
    event.stopPropagation();
    if (move === null) return;
    event.preventDefault();
    if (event.key === "Escape") {
      this.grid.getEditorLock().cancelCurrentEdit();
      this.grid.focus();
      return;
    }
    const { row, cell } = this.active();
    this.grid.getEditorLock().commitCurrentEdit();
    if (event.key === "Tab") this.tab(move[1]);
    else this.go({ row: row + move[0], cell: cell + move[1] }, false);
    this.grid.focus();
  }
}
