/** Copy, cut and paste between the grid and whatever else there is on the machine. */

/** @typedef {import("./surface.js").Surface} Surface */

/** @param {Surface} surface @param {AbortSignal} signal */
export function listenToClipboard(surface, signal) {
  const { place } = surface;
  place.addEventListener("copy", (event) => copy(surface, event, false), { signal });
  place.addEventListener("cut", (event) => copy(surface, event, true), { signal });
  place.addEventListener("paste", (event) => paste(surface, event), { signal });
}

/** Whether somebody is typing: then the text that he types is meant, and no cells. @param {Event} event */
function inText(event) {
  return event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement;
}

/** @param {Surface} surface @param {ClipboardEvent} event @param {boolean} cut */
function copy(surface, event, cut) {
  const range = surface.range();
  if (inText(event) || !range || !event.clipboardData) return;
  event.preventDefault();
  event.clipboardData.setData("text/plain", surface.desk.copy(range));
  const size = `${range.ids.length} × ${range.names.length} cells`;
  if (cut && surface.desk.writes) {
    surface.desk.clear(range);
    surface.host.written();
  }
  surface.host.say(cut ? `Cut ${size}.` : `Copied ${size}.`);
}

/** @param {Surface} surface @param {ClipboardEvent} event */
function paste(surface, event) {
  if (inText(event)) return;
  event.preventDefault();
  const text = event.clipboardData?.getData("text/plain") ?? "";
  const [range, onward] = [surface.range(), surface.onward()];
  if (text === "" || !range || !onward || onward.names.length === 0) return;
  if (!surface.desk.writes) {
    surface.host.say("You may read this register, not write in it. Nothing was pasted.");
    return;
  }
  const active = surface.here();
  const done = surface.desk.paste(text, range, onward);
  surface.host.say(done.refusal || done.said);
  if (done.refusal) return;
  // A new row stands last; if it is the first of the range, the range begins with it.
  const first = done.ids[0];
  const [from, to] = [surface.desk.places.get(active?.id ?? first ?? ""), surface.desk.places.get(done.ids.at(-1) ?? "")];
  const cell = surface.names.indexOf(range.names[0] ?? "");
  if (from !== undefined && to !== undefined) surface.select(from, cell, to, cell + done.width - 1);
  surface.host.written();
}
