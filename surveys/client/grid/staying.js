/** Staying with one's records while rows come, go and move: active cell, range and what is at the top. */

/** @typedef {import("./surface.js").Surface} Surface */

/** Where one is, by records rather than by rows. @param {Surface} surface */
export function where(surface) {
  const active = surface.grid.getActiveCell();
  const range = surface.model.getSelectedRanges().at(-1);
  const id = (/** @type {number | undefined} */ row) => surface.entries[row ?? -1]?.id ?? "";
  return { id: id(active?.row), name: surface.names[active?.cell ?? -1] ?? "", row: active?.row ?? 0, from: id(range?.fromRow), to: id(range?.toRow), range };
}

/** Go back there, after rows came, went or moved. @param {Surface} surface @param {ReturnType<typeof where>} kept */
export function goBack(surface, kept) {
  const { grid, desk } = surface;
  if (kept.id === "") return;
  const at = desk.places.get(kept.id) ?? Math.min(kept.row, surface.entries.length - 1);
  const cell = Math.max(0, surface.names.indexOf(kept.name));
  if (at < 0) {
    grid.resetActiveCell();
    return;
  }
  const { top } = grid.getViewport();
  if (grid.getActiveCell()?.row !== at || grid.getActiveCell()?.cell !== cell) grid.setActiveCell(at, cell, false, false, true);
  if (grid.getViewport().top !== top) grid.scrollTo(top * surface.rowHeight);
  const [from, to] = [desk.places.get(kept.from), desk.places.get(kept.to)];
  if (kept.range && from !== undefined && to !== undefined) surface.select(from, kept.range.fromCell, to, kept.range.toCell);
  surface.access.focusIfLost();
}
