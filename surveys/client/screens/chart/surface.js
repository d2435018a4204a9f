/** The chart as a grid of which only what is in sight is in the page; the heads of rows and columns stay where they are. */

import { SIZES, heights, keyOf, layersAt } from "../../model/chart/layout.js";
import { isWeak } from "../../model/chart/marks.js";
import { HEAD } from "../../model/chart/moving.js";
import { inSight, offsets, revealed, withKept } from "../../model/chart/windowing.js";
import { h } from "../parts/dom.js";
import { chip, rowHead } from "./cell.js";
import { classesLine, namesLine, sampleHead } from "./heads.js";

/** @typedef {import("../../model/chart/layout.js").Layout} Layout */
/** @typedef {import("../../model/chart/layout.js").Place} Place */
/** @typedef {import("../../model/chart/layout.js").Zoom} Zoom */
/** @typedef {import("./cell.js").Extra} Extra */
/** @typedef {import("../../model/types.js").Cell} Cell */

/** How many rows and columns more than those in sight. */
const MORE = 2;
const PAPER_WIDTH = 1040;

/**
 * @typedef {object} Look
 * @property {Layout} made
 * @property {Zoom} zoom
 * @property {Place} place where the focus is, or would be
 * @property {(cell: Cell) => Extra} extra
 * @property {(generation: string) => number} talk how many threads are open on a generation
 * @property {number | null} opened the ordinal of the generation whose panel is open
 * @property {string} label
 */

export class Surface {
  /** @param {Look} look */
  constructor(look) {
    this.look = look;
    this.whole = false;
    /** @type {Map<number, HTMLElement>} */
    this.rows = new Map();
    /** @type {Map<string, HTMLElement>} */
    this.drawn = new Map();
    this.heads = h("div", { class: "chartheads", role: "rowgroup" });
    this.body = h("div", { role: "rowgroup", class: "rows" });
    this.grid = h("div", { class: "chartgrid", role: "grid" }, this.heads, this.body);
    this.element = h("div", { class: "chartscroll", onscroll: () => this.later() }, this.grid);
    this.due = 0;
    /** @type {Layout | null} */
    this.headsFor = null;
    this.headsKey = "";
    /** @type {Map<number, HTMLElement>} */
    this.names = new Map();
    this.line = h("div");
    /** @type {HTMLElement | null} */
    this.stop = null;
    this.columnStarts = [0];
    this.rowStarts = [0];
    new ResizeObserver(() => this.later()).observe(this.element);
  }

  /** Draw all anew, for another chart, size or choice. @param {Look} look */
  show(look) {
    this.look = look;
    const { made, zoom } = look;
    const size = SIZES[zoom];
    this.columnStarts = offsets(made.columns.map(() => size.column));
    this.rowStarts = offsets(heights(made.rows, zoom));
    this.grid.className = `chartgrid ${zoom}`;
    this.grid.style.fontSize = `${size.font}px`;
    this.grid.style.width = `${size.head + this.end(this.columnStarts)}px`;
    this.grid.style.height = `${size.heads + this.end(this.rowStarts)}px`;
    this.heads.style.height = `${size.heads}px`;
    for (const [name, value] of [["aria-label", look.label], ["aria-rowcount", made.rows.length + 2], ["aria-colcount", made.columns.length + 1]]) this.grid.setAttribute(String(name), String(value));
    const focused = this.hasFocus();
    this.rows.clear();
    this.drawn.clear();
    this.body.replaceChildren();
    this.draw();
    if (focused) this.focus();
  }

  /** @param {readonly number[]} starts */
  end(starts) {
    return starts[starts.length - 1] ?? 0;
  }

  hasFocus() {
    return this.body.contains(document.activeElement);
  }

  later() {
    if (this.due) return;
    this.due = requestAnimationFrame(() => {
      this.due = 0;
      this.draw();
    });
  }

  /** Bring in what came in sight, take away what left it. */
  draw() {
    const { made, place, zoom } = this.look;
    const size = SIZES[zoom];
    const { scrollLeft, scrollTop, clientWidth, clientHeight } = this.element;
    const all = /** @type {const} */ ([0, Infinity]);
    const [left, width] = this.whole ? all : [scrollLeft, Math.max(0, clientWidth - size.head)];
    const [top, height] = this.whole ? all : [scrollTop, Math.max(0, clientHeight - size.heads)];
    const columns = withKept(inSight(this.columnStarts, left, left + width, MORE), place.column);
    const rows = withKept(inSight(this.rowStarts, top, top + height, MORE), place.row);
    this.drawHeads(columns);
    const wanted = new Set(rows);
    for (const [index, row] of this.rows) {
      if (wanted.has(index)) continue;
      row.remove();
      this.rows.delete(index);
      for (const key of this.drawn.keys()) if (key.startsWith(`${index}:`)) this.drawn.delete(key);
    }
    for (const row of rows) this.drawRow(row, columns);
    const there = new Set(columns);
    for (const [key, cell] of this.drawn) {
      if (there.has(Number(key.slice(key.indexOf(":") + 1)))) continue;
      cell.remove();
      this.drawn.delete(key);
    }
    if (made.rows.length) this.rove();
  }

  /** @param {number} index @param {readonly number[]} columns */
  drawRow(index, columns) {
    const row = this.look.made.rows[index];
    if (!row) return;
    let line = this.rows.get(index);
    if (!line) {
      const weak = row.generation !== null && isWeak(row.generation.distinctness);
      line = h("div", { class: `chartrow${weak ? " weak" : ""}`, role: "row", "aria-rowindex": index + 3 }, rowHead(row, row.ordinal !== null && row.ordinal === this.look.opened, row.generation ? this.look.talk(row.generation.id) : 0));
      line.dataset["row"] = String(index);
      line.style.top = `${this.rowStarts[index] ?? 0}px`;
      line.style.height = `${(this.rowStarts[index + 1] ?? 0) - (this.rowStarts[index] ?? 0)}px`;
      const first = line.firstElementChild;
      if (first instanceof HTMLElement) first.style.width = `${SIZES[this.look.zoom].head}px`;
      // In the order of the rows, so that who hears the chart hears it from the top.
      const next = [...this.rows].filter(([other]) => other > index).sort(([one], [other]) => one - other)[0]?.[1];
      this.body.insertBefore(line, next ?? null);
      this.rows.set(index, line);
    }
    for (const column of columns) {
      const key = keyOf(index, column);
      if (this.drawn.has(key)) continue;
      const made = this.cell(index, column);
      this.drawn.set(key, made);
      const after = [...line.children].find((other) => other instanceof HTMLElement && Number(other.dataset["column"] ?? HEAD) > column);
      line.insertBefore(made, after ?? null);
    }
  }

  /** @param {number} row @param {number} column */
  cell(row, column) {
    const { made, zoom, extra } = this.look;
    const layers = layersAt(made, row, column);
    const cell = h("div", { class: `cell${layers.length ? "" : " empty"}`, role: "gridcell", "aria-colindex": column + 2 }, [...layers].reverse().map((one) => chip(one, extra(one), zoom !== "small")));
    if (layers.length === 0) {
      cell.tabIndex = -1;
      cell.setAttribute("aria-label", `${made.columns[column]?.sample ?? ""}, no layer`);
    }
    cell.dataset["column"] = String(column);
    cell.style.left = `${SIZES[zoom].head + (this.columnStarts[column] ?? 0)}px`;
    cell.style.width = `${SIZES[zoom].column}px`;
    return cell;
  }

  /** @param {readonly number[]} columns */
  drawHeads(columns) {
    const { made, zoom } = this.look;
    const all = `${zoom} ${this.whole}`;
    if (this.headsFor !== made || this.headsKey !== all) {
      [this.headsFor, this.headsKey] = [made, all];
      this.names.clear();
      this.line = namesLine(zoom);
      this.heads.replaceChildren(classesLine(made, zoom, this.columnStarts), this.line);
    }
    const wanted = new Set(columns);
    for (const [index, head] of this.names) {
      if (wanted.has(index)) continue;
      head.remove();
      this.names.delete(index);
    }
    for (const index of columns) {
      if (this.names.has(index)) continue;
      const head = sampleHead(made, index, zoom, this.columnStarts);
      if (!head) continue;
      this.names.set(index, head);
      this.line.append(head);
    }
  }

  /** The element that bears the focus at the look's place. @returns {HTMLElement | null} */
  target() {
    const { place } = this.look;
    const line = this.rows.get(place.row);
    if (!line) return null;
    if (place.column === HEAD) return line.querySelector(".rowhead");
    const cell = this.drawn.get(keyOf(place.row, place.column));
    const chips = cell ? [...cell.querySelectorAll(".chip")].reverse() : [];
    const found = chips[place.at] ?? cell ?? null;
    return found instanceof HTMLElement ? found : null;
  }

  /** One stop for the Tab key: where one is in the chart. */
  rove() {
    const target = this.target();
    if (this.stop === target) return;
    this.stop?.setAttribute("tabindex", "-1");
    target?.setAttribute("tabindex", "0");
    this.stop = target;
  }

  /** Go to a place, scrolling there. @param {Place} place @param {boolean} focus */
  goTo(place, focus) {
    this.look = { ...this.look, place };
    const size = SIZES[this.look.zoom];
    const { element } = this;
    if (place.column !== HEAD) {
      element.scrollLeft = revealed(element.scrollLeft, element.clientWidth, size.head, this.columnStarts[place.column] ?? 0, this.columnStarts[place.column + 1] ?? 0);
    }
    element.scrollTop = revealed(element.scrollTop, element.clientHeight, size.heads, this.rowStarts[place.row] ?? 0, this.rowStarts[place.row + 1] ?? 0);
    this.draw();
    if (focus) this.focus();
  }

  focus() {
    this.target()?.focus({ preventScroll: true });
  }

  /** The place of an element within the chart. @param {Element} element @returns {Place | null} */
  placeOf(element) {
    const line = element.closest(".chartrow");
    if (!(line instanceof HTMLElement)) return null;
    const row = Number(line.dataset["row"]);
    const cell = element.closest(".cell");
    if (!(cell instanceof HTMLElement)) return { row, column: HEAD, at: 0 };
    const chips = [...cell.querySelectorAll(".chip")].reverse();
    const mine = element.closest(".chip");
    return { row, column: Number(cell.dataset["column"]), at: mine ? chips.indexOf(mine) : 0 };
  }

  /** On paper everything is there, as wide as the sheet. @param {boolean} printing */
  print(printing) {
    this.whole = printing;
    const width = SIZES[this.look.zoom].head + this.end(this.columnStarts);
    this.grid.style.zoom = printing ? String(Math.min(1, PAPER_WIDTH / width)) : "";
    this.draw();
  }
}
