/** The keys that end the editing of a cell, and those that work within it. */

/** @type {Record<string, [down: number, right: number]>} */
export const ARROWS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

/** Whether a key ends the editing, and which way one goes then. @param {KeyboardEvent} event @param {any} editor @returns {[number, number] | null} */
export function ending(event, editor) {
  const long = editor.input instanceof HTMLTextAreaElement;
  if (event.key === "Escape") return [0, 0];
  if (event.key === "Tab") return [0, event.shiftKey ? -1 : 1];
  if (event.key === "Enter") {
    if (long && (event.altKey || event.ctrlKey)) {
      editor.input.setRangeText("\n", editor.input.selectionStart, editor.input.selectionEnd, "end");
      event.preventDefault();
      return null;
    }
    return [event.shiftKey ? -1 : 1, 0];
  }
  if (event.key === "F2") editor.typing = false;
  if (event.key === "ArrowDown" && event.altKey && editor.calendar) {
    editor.calendar.open();
    return null;
  }
  const vertical = event.key === "ArrowDown" || event.key === "ArrowUp";
  if (vertical && editor.offers && (!editor.typing || event.altKey || editor.touched)) {
    if (editor.offers.walk(event.key === "ArrowDown" ? 1 : -1)) event.preventDefault();
    return null;
  }
  return editor.typing && !event.shiftKey && !event.ctrlKey && event.key in ARROWS ? (ARROWS[event.key] ?? null) : null;
}
