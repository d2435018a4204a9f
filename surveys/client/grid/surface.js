/**
 * The grid of a register: the desk's rows and columns put before the library, and what happens there put before the desk. All that knows
 * of the library's rows and columns by number is here; everybody else speaks of records and fields.
 */

import { shown } from "../model/sheet/shown.js";
import { Access } from "./access.js";
import { groupFormatter } from "./cells.js";
import { definitions } from "./definitions.js";
import { styleNonce } from "./engine.js";
import { fit } from "./fitting.js";
import { freeze, lastFrozen } from "./freezing.js";
import { filterRow, menuButton, showFilters } from "./heads.js";
import { goBack, where } from "./staying.js";

/** @typedef {import("./engine.js").Engine} Engine */
/** @typedef {import("../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../model/sheet/arrange.js").Entry} Entry */
/** @typedef {import("../model/sheet/ranges.js").Range} Range */
/** @typedef {import("../model/sheet/sheet.js").Told} Told */
/** @typedef {import("./swatches.js").Swatches} Swatches */
/** @typedef {import("slickgrid").Column<any>} GridColumn */

/**
 * @typedef {object} Host who is told of what happens
 * @property {() => void} moved another cell is the active one
 * @property {() => void} written something was typed or done that is to be sent
 * @property {(name: string, said: string) => void} filter
 * @property {(sort: { name: string, down: boolean }[]) => void} sort
 * @property {(widths: Record<string, number>) => void} resized
 * @property {(names: string[]) => void} reordered
 * @property {(name: string, beside: HTMLElement) => void} column somebody asked for what can be done with a column
 * @property {(id: string, name: string) => void} talk somebody asked for what is said about a cell
 * @property {(text: string) => void} say
 */

const ROW = 28;
const LEAST = 320;

export class Surface {
  rowHeight = ROW;

  /**
   * @param {Engine} engine @param {HTMLElement} place @param {Desk} desk @param {Swatches} swatches @param {Host} host
   * @param {Record<string, number>} widths
   */
  constructor(engine, place, desk, swatches, host, widths) {
    this.engine = engine;
    this.place = place;
    this.desk = desk;
    this.swatches = swatches;
    this.host = host;
    this.widths = widths;
    /** @type {import("./editors.js").Beginning} */
    this.beginning = { typed: null };
    /** @type {Entry[]} rows as they are shown; while somebody types, the desk may be ahead of them */
    this.entries = desk.entries;
    this.late = false;
    /** @type {string[]} */
    this.names = [];
    const data = { getLength: () => this.entries.length, getItem: (/** @type {number} */ row) => this.entries[row], getItemMetadata: (/** @type {number} */ row) => this.metadata(row) };
    this.grid = new engine.SlickGrid(place, /** @type {any} */ (data), this.columns(), {
      editable: desk.writes, enableCellNavigation: true, autoEdit: false, autoEditByKeypress: false, autoCommitEdit: true, asyncEditorLoading: false,
      forceSyncScrolling: true, enableHtmlRendering: false, enableColumnReorder: true, rowHeight: ROW, showHeaderRow: true, headerRowHeight: 34,
      frozenColumn: lastFrozen(this), skipFreezeColumnValidation: true, multiColumnSort: true, tristateMultiColumnSort: true, numberedMultiColumnSort: true, explicitInitialization: true, nonce: styleNonce(),
      enableTextSelectionOnCells: false, editCommandHandler: (/** @type {Entry} */ entry, /** @type {GridColumn} */ column, /** @type {any} */ command) => this.typed(entry, column, command),
    });
    this.model = new engine.SlickHybridSelectionModel({ selectionType: "cell", selectActiveCell: true });
    this.grid.setSelectionModel(this.model);
    this.access = new Access(this);
    this.subscribe();
    this.grid.init();
    freeze(this);
    this.grid.setSortColumns(desk.look.sort.map((one) => ({ columnId: one.name, sortAsc: !one.down })));
    this.desk.sheet.listen((told) => this.follow(told));
  }

  subscribe() {
    const { grid, host } = this;
    grid.onHeaderRowCellRendered.subscribe((_event, { node, column }) => filterRow(this, node, String(column.id)));
    grid.onHeaderCellRendered.subscribe((_event, { node, column }) => menuButton(this, node, String(column.id)));
    grid.onActiveCellChanged.subscribe(() => host.moved());
    grid.onBeforeCellEditorDestroy.subscribe(() => { if (this.late) queueMicrotask(() => this.lay()); });
    grid.onSort.subscribe((_event, told) => {
      const columns = "sortCols" in told ? told.sortCols : [];
      host.sort(columns.map((one) => ({ name: String(one.columnId), down: !one.sortAsc })));
    });
    grid.onColumnsResized.subscribe(() => {
      for (const one of grid.getColumns()) this.widths[String(one.id)] = one.width ?? 0;
      this.resized();
    });
    grid.onColumnsResizeDblClick.subscribe((_event, { triggeredByColumn }) => fit(this, triggeredByColumn));
    grid.onColumnsReordered.subscribe(() => {
      this.names = grid.getColumns().map((one) => String(one.id));
      // The library is still at work on its columns.
      queueMicrotask(() => host.reordered(this.names));
    });
    grid.onDragReplaceCells.subscribe((_event, { prevSelectedRange, selectedRange }) => this.dragged(prevSelectedRange, selectedRange));
    grid.onClick.subscribe((event, { row, cell }) => {
      const entry = this.entries[row];
      if (entry?.kind === "group") this.toggle(entry.id);
      else if (entry && event.target instanceof Element && event.target.closest(".talkmark")) host.talk(entry.id, this.names[cell] ?? "");
    });
  }

  /** @returns {GridColumn[]} */
  columns() {
    const columns = shown(this.desk.look, this.desk.sheet.columns.values());
    this.names = columns.map((one) => one.name);
    return definitions(this, columns);
  }

  /** @param {number} row */
  metadata(row) {
    const entry = this.entries[row];
    if (entry?.kind !== "group") return null;
    const whole = { colspan: "*", formatter: groupFormatter(this.desk), editor: undefined };
    const { frozenColumn = -1 } = this.grid.getOptions();
    // What stays in sight is a part of the page of its own; the head of a group goes on beyond its edge.
    const columns = frozenColumn < 0 ? { 0: whole } : { 0: { ...whole, colspan: frozenColumn + 1 }, [frozenColumn + 1]: whole };
    return { selectable: false, focusable: true, cssClasses: "group", columns };
  }

  /** @param {Entry} entry @param {GridColumn} column @param {any} command */
  typed(entry, column, command) {
    this.desk.type(entry.id, String(column.id), String(command.serializedValue), { base: command.editor.base });
    this.host.written();
  }

  /** @param {Told} told */
  follow(told) {
    for (const [before, now] of told.renamed) {
      for (const entry of this.entries) if (entry.id === before) entry.id = now;
    }
    if (told.rows) this.lay();
    else this.repaint(told.ids);
  }

  /** Draw rows anew; never the cell in which somebody types. @param {Iterable<string>} ids */
  repaint(ids) {
    const { grid } = this;
    const active = grid.getActiveCell();
    const editing = grid.getCellEditor() ? active?.row : undefined;
    const wanted = new Set(ids);
    const { top, bottom } = grid.getRenderedRange();
    const rows = [];
    for (let row = top; row <= bottom; row += 1) {
      if (!wanted.has(this.entries[row]?.id ?? "")) continue;
      if (row !== editing) rows.push(row);
      else for (const [cell] of this.names.entries()) if (cell !== active?.cell) grid.updateCell(row, cell);
    }
    if (rows.length > 0) {
      grid.invalidateRows(rows);
      grid.render();
    }
    this.host.moved();
  }

  /** Draw all that is seen anew. */
  repaintAll() {
    const { top, bottom } = this.grid.getRenderedRange();
    this.repaint(this.entries.slice(top, bottom + 1).map((entry) => entry.id));
  }

  /** Rows came, went or moved: active cell, range and what is at the top stay with their records. While somebody types it waits. */
  lay() {
    const { grid } = this;
    if (grid.getCellEditor()) {
      this.late = true;
      return;
    }
    this.late = false;
    const kept = where(this);
    const { top } = grid.getViewport();
    const first = this.entries[top]?.id;
    this.entries = this.desk.entries;
    grid.invalidateAllRows();
    grid.updateRowCount();
    const now = first === undefined ? undefined : this.desk.places.get(first);
    if (now !== undefined && now !== top) grid.scrollTo(now * ROW);
    grid.render();
    goBack(this, kept);
    this.host.moved();
  }

  /** Show other columns, or the same in another order. */
  relay() {
    this.grid.getEditorLock().commitCurrentEdit();
    freeze(this);
    this.grid.setColumns(this.columns());
    this.grid.setSortColumns(this.desk.look.sort.map((one) => ({ columnId: one.name, sortAsc: !one.down })));
    this.lay();
  }

  resized() {
    freeze(this);
    this.host.resized(this.widths);
  }

  /** Other rows are shown: so say the fields below the heads. */
  filtered() {
    showFilters(this);
    this.lay();
  }

  /** @param {number} fromRow @param {number} fromCell @param {number} toRow @param {number} toCell */
  select(fromRow, fromCell, toRow, toCell) {
    this.model.setSelectedRanges([new this.engine.SlickRange(fromRow, fromCell, toRow, toCell)]);
  }

  /** What is selected, as it is seen. @returns {Range | null} */
  range() {
    const active = this.grid.getActiveCell();
    const range = this.model.getSelectedRanges().at(-1) ?? (active && { fromRow: active.row, toRow: active.row, fromCell: active.cell, toCell: active.cell });
    if (!range) return null;
    return { ids: this.idsFrom(range.fromRow, range.toRow + 1), names: this.names.slice(range.fromCell, range.toCell + 1) };
  }

  /** All from the first selected cell on. @returns {Range | null} */
  onward() {
    const active = this.grid.getActiveCell();
    const range = this.model.getSelectedRanges().at(-1) ?? (active && { fromRow: active.row, fromCell: active.cell });
    return range ? { ids: this.idsFrom(range.fromRow, this.entries.length), names: this.names.slice(range.fromCell) } : null;
  }

  /** @param {number} from @param {number} to */
  idsFrom(from, to) {
    return this.entries.slice(from, to).filter((entry) => entry.kind === "row").map((entry) => entry.id);
  }

  /** The cell that is active, by its record and field. @returns {{ id: string, name: string, entry: Entry } | null} */
  here() {
    const active = this.grid.getActiveCell();
    const entry = this.entries[active?.row ?? -1];
    const name = this.names[active?.cell ?? -1];
    return entry && name !== undefined ? { id: entry.id, name, entry } : null;
  }

  /** Go to a cell of a record. @param {string} id @param {string} [name] */
  goTo(id, name) {
    const row = this.desk.places.get(id);
    if (row === undefined) return false;
    this.lay();
    this.grid.gotoCell(row, Math.max(0, name === undefined ? 0 : this.names.indexOf(name)), false);
    return true;
  }

  /** @param {{ fromRow: number, fromCell: number, toRow: number, toCell: number }} before @param {{ fromRow: number, fromCell: number, toRow: number, toCell: number }} now */
  dragged(before, now) {
    if (now.fromRow !== before.fromRow || now.fromCell !== before.fromCell) return;
    const range = { ids: this.idsFrom(now.fromRow, now.toRow + 1), names: this.names.slice(now.fromCell, now.toCell + 1) };
    if (now.toCell > before.toCell) this.desk.fillRight(range);
    else this.desk.drag(range, this.idsFrom(before.fromRow, before.toRow + 1).length);
    this.host.written();
  }

  /** @param {string} id */
  toggle(id) {
    this.desk.toggle(id);
    this.lay();
  }

  /** As high as the window leaves room for, what stands below it included. @param {number} below */
  fit(below) {
    // To lay all out anew would throw away what is being typed.
    this.commit();
    const room = innerHeight - this.place.getBoundingClientRect().top - scrollY - below;
    this.place.style.height = `${Math.max(LEAST, Math.round(room))}px`;
    this.grid.resizeCanvas();
    if (lastFrozen(this) !== this.grid.getOptions().frozenColumn) this.relay();
  }

  /** Colours have become known. */
  coloured() {
    const editor = /** @type {any} */ (this.grid.getCellEditor());
    editor?.coloured?.();
    this.repaintAll();
  }

  /** Write what is being typed, as one does who turns elsewhere. */
  commit() {
    return this.grid.getEditorLock().commitCurrentEdit();
  }

  destroy() {
    this.access.destroy();
    this.grid.destroy();
  }
}
