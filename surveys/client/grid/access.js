/**
 * The grid for who cannot see it, or uses no mouse: the active cell has the focus and is the one stop of the Tab key, rows and columns have
 * their numbers, selection and faults are told.
 */

import { head } from "../model/sheet/columns.js";

/** @typedef {import("./surface.js").Surface} Surface */

export class Access {
  /** @param {Surface} surface */
  constructor(surface) {
    this.surface = surface;
    this.grid = surface.grid;
    /** @type {HTMLElement | null} */
    this.stop = null;
    // The library would put the focus on an element of its own that has no role and no name.
    /** @type {any} */ (this.grid).setFocus = () => this.focus();
    // Whether the focus was in the grid last: then it is given back to it when the cell that had it is drawn anew.
    this.held = false;
    surface.place.addEventListener("focusin", () => { this.held = true; });
    surface.place.addEventListener("focusout", (event) => { if (event.relatedTarget) this.held = false; });
    /** @type {WeakSet<Element>} */
    this.known = new WeakSet();
    this.grid.onRendered.subscribe(() => this.rendered());
    this.grid.onActiveCellChanged.subscribe(() => this.moved());
    this.grid.onHeaderCellRendered.subscribe((_event, { node, column }) => this.headed(node, String(column.id)));
    surface.model.onSelectedRangesChanged.subscribe(() => this.selected());
    this.base();
  }

  base() {
    const { place, desk } = this.surface;
    place.tabIndex = -1;
    place.setAttribute("aria-label", desk.kind.title);
    place.setAttribute("aria-multiselectable", "true");
    place.setAttribute("aria-readonly", String(!desk.writes));
  }

  /** Parts that the library makes only to lay things out. */
  tidy() {
    const { place } = this.surface;
    for (const one of place.querySelectorAll(":scope > [tabindex], .slick-pane, .grid-canvas")) one.removeAttribute("tabindex");
    for (const one of place.querySelectorAll(".slick-pane, .grid-canvas, .slick-header, .slick-headerrow, .slick-top-panel-scroller, .slick-headerrow-spacer")) put(one, "role", "presentation");
    for (const one of place.querySelectorAll(".slick-viewport")) {
      // Without a number of its own a browser would make whatever scrolls a stop of the Tab key.
      const filled = one.querySelector(".slick-row > .slick-cell") !== null;
      put(one, "tabindex", filled ? "-1" : null);
      put(one, "role", filled ? "rowgroup" : "presentation");
    }
    for (const one of place.querySelectorAll(".slick-header-columns, .slick-headerrow-columns")) one.setAttribute("role", "row");
    for (const one of place.querySelectorAll(".slick-header-column")) one.setAttribute("role", "columnheader");
    for (const one of place.querySelectorAll(".slick-headerrow-column")) one.setAttribute("role", "gridcell");
    for (const one of place.querySelectorAll(".slick-header-columns, .slick-headerrow-columns")) if (one.childElementCount === 0) one.setAttribute("role", "presentation");
    for (const one of place.querySelectorAll(".slick-resizable-handle")) {
      one.setAttribute("role", "presentation");
      one.removeAttribute("aria-orientation");
    }
  }

  /** @param {HTMLElement} node @param {string} name */
  headed(node, name) {
    const { desk } = this.surface;
    const order = desk.look.sort.find((one) => one.name === name);
    node.setAttribute("role", "columnheader");
    node.setAttribute("aria-label", head(desk.sheet.column(name)));
    node.setAttribute("aria-sort", order ? (order.down ? "descending" : "ascending") : "none");
    node.setAttribute("aria-colindex", String(this.surface.names.indexOf(name) + 1));
  }

  rendered() {
    const { place, entries } = this.surface;
    place.setAttribute("role", this.surface.desk.look.groups.length > 0 ? "treegrid" : "grid");
    place.setAttribute("aria-rowcount", String(entries.length + 2));
    place.setAttribute("aria-colcount", String(this.surface.names.length));
    for (const row of place.querySelectorAll(".slick-row")) {
      if (this.known.has(row)) continue;
      this.known.add(row);
      this.newRow(/** @type {HTMLElement} */ (row));
    }
    this.tidy();
    this.selected();
    this.moved();
  }

  /** @param {HTMLElement} row */
  newRow(row) {
    const number = Number(row.dataset["row"]);
    const entry = this.surface.entries[number];
    row.setAttribute("aria-rowindex", String(number + 3));
    if (row.childElementCount === 0) row.setAttribute("role", "presentation");
    if (entry?.kind === "group") {
      row.setAttribute("aria-level", String(entry.level + 1));
      row.setAttribute("aria-expanded", String(entry.open));
    }
  }

  /** Cells are told apart when they are drawn anew, so this goes over all that are there: a screenful. */
  selected() {
    const { place, model, entries, desk, names } = this.surface;
    const range = model.getSelectedRanges().at(-1);
    for (const cell of place.querySelectorAll(".slick-cell")) {
      const row = Number(/** @type {HTMLElement | null} */ (cell.parentElement)?.dataset["row"]);
      const column = Number(/\bl(\d+)\b/.exec(cell.className)?.[1]);
      const inside = range !== undefined && row >= range.fromRow && row <= range.toRow && column >= range.fromCell && column <= range.toCell;
      put(cell, "aria-selected", String(inside));
      const entry = entries[row];
      if (entry?.kind !== "row") continue;
      const name = names[column] ?? "";
      put(cell, "aria-readonly", desk.sheet.writable(entry.id, name) ? null : "true");
      put(cell, "aria-invalid", cell.classList.contains("is-refused") || cell.classList.contains("is-clash") ? "true" : null);
    }
  }

  /** One stop for the Tab key: the active cell, or the first. */
  moved() {
    const { grid, surface } = this;
    const active = grid.getActiveCellNode();
    const node = active ?? /** @type {HTMLElement | null} */ (surface.place.querySelector(".slick-row .slick-cell"));
    const focused = document.activeElement;
    const typing = focused instanceof HTMLInputElement || focused instanceof HTMLTextAreaElement;
    // Drawing a row anew takes away the cell that had the focus.
    const taken = focused === document.body && this.stop !== null && !this.stop.isConnected && this.held;
    if (node !== this.stop) {
      this.stop?.setAttribute("tabindex", "-1");
      node?.setAttribute("tabindex", "0");
      this.stop = node;
    }
    if (active && !grid.getCellEditor() && focused !== active && (taken || (surface.place.contains(focused) && !typing))) this.focus();
  }

  focus() {
    const node = this.grid.getActiveCellNode();
    // Far away from what is drawn there is no cell to take the focus; without any, no key would arrive.
    if (node?.isConnected) node.focus({ preventScroll: true });
    else this.surface.place.focus({ preventScroll: true });
  }

  focusIfLost() {
    if (document.activeElement === document.body && this.held) this.focus();
  }

  destroy() {
    this.stop = null;
  }
}

/** @param {Element} cell @param {string} name @param {string | null} value */
function put(cell, name, value) {
  if (cell.getAttribute(name) === value) return;
  if (value === null) cell.removeAttribute(name);
  else cell.setAttribute(name, value);
}
