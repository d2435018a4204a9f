/** What is done with ranges of cells: copied, pasted, filled, cleared. Plans only; the sheet writes them. */

import { format, parse, shield, unshield } from "./tsv.js";
import { series } from "./series.js";

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Typed} Typed */

/**
 * A range as it is seen: its rows from top to bottom and its columns from left to right, heads of groups and hidden columns left out.
 * @typedef {{ ids: readonly string[], names: readonly string[] }} Range
 *
 * @typedef {object} Plan
 * @property {Typed[]} cells
 * @property {number} rows how many new rows it needs; the first is written as row '+0', the next as '+1' …
 * @property {string[]} skipped columns that cannot be written, and are passed over
 * @property {number} height
 * @property {number} width
 * @property {string} refusal why nothing is done at all
 */

export const MOST_ROWS = 5000;

/** @param {Sheet} sheet @param {Range} range */
export function copied(sheet, range) {
  return format(range.ids.map((id) => range.names.map((name) => (sheet.column(name).type === "number" ? sheet.text(id, name) : shield(sheet.text(id, name))))));
}

/**
 * Where a pasted text goes. One value fills the range; a range that is a multiple of what is pasted is tiled with it; else it stands from
 * the first cell on, and what goes past the end makes rows.
 * @param {Sheet} sheet
 * @param {string} text
 * @param {Range} range what is selected
 * @param {Range} onward all rows and columns from its first cell to the end of what is shown
 * @param {boolean} makes whether rows can be made
 * @returns {Plan}
 */
export function pasted(sheet, text, range, onward, makes) {
  const rows = parse(text);
  const width = widest(rows);
  const [height, wide] = [rows.length, range.names.length];
  const refuse = (/** @type {string} */ refusal) => ({ cells: [], rows: 0, skipped: [], height, width, refusal });
  if (height > MOST_ROWS) {
    return refuse(`A paste holds at most ${said(MOST_ROWS)} rows; this one has ${said(height)}. Nothing was pasted. Paste it in parts, or import it as a workbook.`);
  }
  const tiles = range.ids.length % height === 0 && wide % width === 0;
  const [tall, across] = tiles ? [range.ids.length, wide] : [height, width];
  if (tall > MOST_ROWS) return refuse(`A paste fills at most ${said(MOST_ROWS)} rows; ${said(tall)} are selected. Nothing was pasted.`);
  if (across > onward.names.length) {
    return refuse(`The paste has ${width} columns, but from here to the last column there are only ${onward.names.length}. Nothing was pasted.`);
  }
  const more = Math.max(0, tall - onward.ids.length);
  if (more > 0 && !makes) return refuse(`The paste has ${said(more)} rows too many, and rows cannot be made here. Nothing was pasted.`);
  return { ...spread(sheet, rows, tall, onward.names.slice(0, across), onward.ids), rows: more, height: tall, width: across, refusal: "" };
}

/** @param {Sheet} sheet @param {string[][]} rows @param {number} tall @param {readonly string[]} names @param {readonly string[]} ids */
function spread(sheet, rows, tall, names, ids) {
  /** @type {Typed[]} */
  const cells = [];
  /** @type {Set<string>} */
  const skipped = new Set();
  const width = widest(rows);
  for (let down = 0; down < tall; down += 1) {
    const row = rows[down % rows.length] ?? [];
    const id = ids[down] ?? `+${down - ids.length}`;
    for (const [right, name] of names.entries()) {
      const column = sheet.column(name);
      const open = id.startsWith("+") ? column.editable : sheet.writable(id, name);
      if (!open) skipped.add(name);
      else cells.push({ id, name, text: unshield(row[right % width] ?? "") });
    }
  }
  return { cells, skipped: [...skipped] };
}

/** @param {readonly string[][]} rows */
function widest(rows) {
  return rows.reduce((most, row) => Math.max(most, row.length), 0);
}

/** The first row's values in all rows below it. @param {Sheet} sheet @param {Range} range @returns {Typed[]} */
export function filledDown(sheet, range) {
  const [first, ...rest] = range.ids;
  if (first === undefined) return [];
  return rest.flatMap((id) => range.names.filter((name) => sheet.writable(id, name)).map((name) => ({ id, name, text: sheet.text(first, name) })));
}

/** The first column's values in all columns right of it. @param {Sheet} sheet @param {Range} range @returns {Typed[]} */
export function filledRight(sheet, range) {
  const [first, ...rest] = range.names;
  if (first === undefined) return [];
  return range.ids.flatMap((id) => rest.filter((name) => sheet.writable(id, name)).map((name) => ({ id, name, text: sheet.text(id, first) })));
}

/**
 * Each column carried on from the cells that begin it. Without a count of those, they are the filled cells at its head.
 * @param {Sheet} sheet @param {Range} range @param {number} [known] @returns {Typed[]}
 */
export function filledOn(sheet, range, known) {
  return range.names.flatMap((name) => {
    const texts = range.ids.map((id) => sheet.text(id, name));
    const blank = texts.findIndex((text) => text === "");
    const from = known ?? (blank < 0 ? 1 : blank);
    if (from === 0) return [];
    const more = series(texts.slice(0, from), texts.length - from);
    return more.flatMap((text, index) => {
      const id = range.ids[from + index] ?? "";
      return sheet.writable(id, name) ? [{ id, name, text }] : [];
    });
  });
}

/** @param {Sheet} sheet @param {Range} range @returns {Typed[]} */
export function cleared(sheet, range) {
  return range.ids.flatMap((id) => range.names.filter((name) => sheet.writable(id, name) && sheet.text(id, name) !== "").map((name) => ({ id, name, text: "" })));
}

/** @param {number} count */
function said(count) {
  return count.toLocaleString("en-GB");
}

/**
 * Where a jump ends: at the edge of what is filled, or at the next that is, or at the end.
 * @param {(place: number) => boolean} filled
 * @param {number} from
 * @param {number} way 1 or -1
 * @param {number} length
 */
export function edge(filled, from, way, length) {
  const there = (/** @type {number} */ place) => place >= 0 && place < length;
  if (!there(from + way)) return from;
  let at = from + way;
  const along = filled(from) && filled(at);
  while (there(at + way) && (along ? filled(at + way) : !filled(at))) at += way;
  return at;
}
