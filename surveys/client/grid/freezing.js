/** The first columns, which stay in sight while one goes to the right. */

import { width } from "../model/sheet/columns.js";
import { frozen, shown } from "../model/sheet/shown.js";

/** @typedef {import("./surface.js").Surface} Surface */

/** What there must be room for beside them. */
const LEAST = 160;

/** The last column that stays, counted from 0; -1 if none does. Where the window is too narrow, fewer stay than were asked for. @param {Surface} surface */
export function lastFrozen({ desk, place, widths }) {
  const columns = [...desk.sheet.columns.values()];
  const all = shown(desk.look, columns);
  let [fit, taken] = [0, 0];
  for (const one of all.slice(0, Math.min(frozen(desk.look, columns), all.length - 1))) {
    taken += widths[one.name] || width(one);
    if (place.clientWidth > 0 && taken > place.clientWidth - LEAST) break;
    fit += 1;
  }
  return fit - 1;
}

/** @param {Surface} surface */
export function freeze(surface) {
  const last = lastFrozen(surface);
  const { grid } = surface;
  if (last !== grid.getOptions().frozenColumn) grid.setOptions({ frozenColumn: last }, true, true);
  const taken = grid.getColumns().slice(0, last + 1).reduce((sum, one) => sum + (one.width ?? 0), 0);
  surface.place.style.setProperty("--staying", `${taken}px`);
}
