/** Rows that are about to be removed, and what becomes of one that somebody else changed meanwhile: it stands until a person chooses. */

import { plain, same, textOf } from "./readings.js";

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Row} Row */
/** @typedef {import("./sheet.js").Cell} Cell */

/**
 * @typedef {object} Removal
 * @property {"unsaved" | "saving" | "refused" | "clash"} state
 * @property {string} reason
 * @property {Record<string, unknown>} seen what the row said to who removed it
 */

/** What others' removals and moves shift by themselves. */
const SHIFTING = new Set(["position", "ordinal"]);

/** @param {Sheet} sheet @param {string} id @returns {Removal} */
export function removal(sheet, id) {
  const names = [...sheet.columns.values()].filter((one) => one.editable && !SHIFTING.has(one.name)).map((one) => one.name);
  const recorded = (/** @type {string} */ name) => {
    const edit = sheet.edit(id, name);
    // What is on its way will be what is recorded, and no change of somebody else's.
    return (edit && sheet.flight.has(edit) ? edit.value : sheet.rows.get(id)?.[name]) ?? null;
  };
  return { state: "unsaved", reason: "", seen: Object.fromEntries(names.map((name) => [name, recorded(name)])) };
}

/** The fields that say something else now than to who removed the row. @param {Removal} gone @param {Row} row */
export function changedSince(gone, row) {
  return Object.keys(gone.seen).filter((name) => name in row && !same(row[name], gone.seen[name]));
}

/** The record of a row that is to go is known anew. @param {Sheet} sheet @param {Row} row @returns {boolean} whether the row came back into sight */
export function reconsider(sheet, row) {
  const gone = sheet.gone.get(row.id);
  if (!gone || (gone.state !== "unsaved" && gone.state !== "saving") || changedSince(gone, row).length === 0) return false;
  sheet.gone.set(row.id, { ...gone, state: "clash" });
  return true;
}

/** A cell of a row that was not removed after all: what it said to who removed it, and what it says now. @param {Sheet} sheet @param {Removal} gone @param {string} id @param {string} name @returns {Cell | null} */
export function returned(sheet, gone, id, name) {
  const row = sheet.rows.get(id);
  const column = sheet.column(name);
  if (gone.state === "refused") return { text: sheet.text(id, name), state: "refused", reason: `Not removed. ${gone.reason}`, theirs: "" };
  if (gone.state !== "clash" || !row || !changedSince(gone, row).includes(name)) return null;
  const before = column.type === "reference" ? sheet.context.references.name(column.refers ?? "", String(gone.seen[name] ?? "")) : plain(column, gone.seen[name]);
  return { text: before, state: "clash", reason: "You removed this row; somebody else changed it meanwhile.", theirs: textOf(column, row, sheet.context), removed: true };
}

/** Of each row that was not removed after all, a cell that says why. @param {Sheet} sheet @returns {{ id: string, name: string }[]} */
export function standing(sheet) {
  return [...sheet.gone].flatMap(([id, gone]) => {
    const row = sheet.rows.get(id);
    const name = gone.state === "clash" && row ? changedSince(gone, row)[0] : gone.state === "refused" ? [...sheet.columns.keys()][0] : undefined;
    return name === undefined ? [] : [{ id, name }];
  });
}

/** Of a removal and a change that crossed, one; one that was refused is given up. @param {Sheet} sheet @param {string} id @param {"removal" | "change"} which */
export function settleRemoval(sheet, id, which) {
  const state = sheet.gone.get(id)?.state;
  if (state !== "clash" && (state !== "refused" || which === "removal")) return;
  sheet.gone.delete(id);
  if (which === "removal") sheet.gone.set(id, removal(sheet, id));
  sheet.tell([id], true);
}
