/** How wide a column must be for what it holds. */

import { width } from "../model/sheet/columns.js";

/** @typedef {import("./surface.js").Surface} Surface */

/** So many rows are measured; who has more finds the widest among them often enough. */
const MOST = 2000;
const WIDEST = 640;
/** Room around a text, and for the mark of its state. */
const AROUND = 36;

/** Make a column just wide enough. @param {Surface} surface @param {string} name */
export function fit(surface, name) {
  const { desk, place, grid } = surface;
  const column = desk.sheet.column(name);
  const brush = document.createElement("canvas").getContext("2d");
  if (!brush) return;
  const { fontSize, fontFamily } = getComputedStyle(place);
  brush.font = `${fontSize} ${fontFamily}`;
  let widest = 0;
  for (const id of desk.order.slice(0, MOST)) widest = Math.max(widest, brush.measureText(desk.sheet.text(id, name)).width);
  const swatch = column.type === "munsell" || column.name === "lab_l" ? 28 : 0;
  surface.widths[name] = Math.min(WIDEST, Math.max(width({ ...column, width: 0 }), Math.ceil(widest) + AROUND + swatch));
  const columns = grid.getColumns();
  const found = columns.find((one) => one.id === name);
  if (!found) return;
  found.width = surface.widths[name] ?? 0;
  grid.setColumns(columns);
  surface.resized();
}
