/** What is typed and not saved, as plain values that outlast a reload, an ended session and a lost connection. */

import { reconsider, removal } from "./removals.js";

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Typed} Typed */
/** @typedef {import("./outbox.js").Batch} Batch */
/** @typedef {import("./outbox.js").Operation} Operation */

/**
 * @typedef {object} Kept
 * @property {1} form
 * @property {[id: string, values: Record<string, unknown>][]} born
 * @property {[id: string, name: string, text: string, base: unknown][]} edits
 * @property {(string | [id: string, seen: Record<string, unknown>])[]} gone rows to be removed, with what they said to who removed them
 * @property {{ key: string, items: { id: string, operation: Operation, texts: Record<string, string> }[] } | null} underway
 */

/** @param {Sheet} sheet @param {Batch | null} underway @returns {Kept | null} null if there is nothing to keep */
export function pack(sheet, underway) {
  if (sheet.edits.size === 0 && sheet.gone.size === 0 && sheet.born.size === 0 && !underway) return null;
  return {
    form: 1,
    born: [...sheet.born].map((id) => [id, inherited(sheet, id)]),
    edits: [...sheet.edits].flatMap(([id, edits]) => [...edits].map(([name, edit]) => /** @type {Kept["edits"][number]} */ ([id, name, edit.text, edit.base ?? null]))),
    gone: [...sheet.gone].map(([id, { seen }]) => [id, seen]),
    underway: underway && {
      key: underway.key,
      items: underway.items.map((item) => ({ id: item.id, operation: item.operation, texts: Object.fromEntries([...item.edits].map(([name, edit]) => [name, edit.text])) })),
    },
  };
}

/** @param {Sheet} sheet @param {string} id */
function inherited(sheet, id) {
  const { id: _id, version: _version, ...values } = sheet.rows.get(id) ?? { id, version: 0 };
  return values;
}

/**
 * Put back what was kept over the records as they are now.
 * @param {Sheet} sheet
 * @param {unknown} kept
 * @returns {{ batch: Batch | null, lost: Typed[], many: number }} what was on its way, and what was typed into records that are there no more
 */
export function unpack(sheet, kept) {
  /** @type {Typed[]} */
  const lost = [];
  if (!isKept(kept)) return { batch: null, lost, many: 0 };
  /** @type {Map<string, string>} */
  const ids = new Map();
  for (const [id, values] of kept.born) ids.set(id, sheet.bear(values));
  const here = (/** @type {string} */ id) => ids.get(id) ?? id;
  for (const [id, name, text, base] of kept.edits) {
    if (!sheet.rows.has(here(id))) lost.push({ id, name, text });
    else if (sheet.columns.has(name)) sheet.put(here(id), name, sheet.read(here(id), name, text), { base });
  }
  for (const one of kept.gone) {
    const [id, seen] = typeof one === "string" ? [here(one), null] : [here(one[0]), one[1]];
    const row = sheet.rows.get(id);
    if (!row) continue;
    sheet.gone.set(id, { ...removal(sheet, id), ...(seen ? { seen } : {}) });
    reconsider(sheet, row);
  }
  sheet.tell([...ids.values(), ...kept.edits.map(([id]) => here(id))], true);
  return { batch: underway(sheet, kept, here), lost, many: kept.edits.length + kept.gone.length };
}

/** @param {Sheet} sheet @param {Kept} kept @param {(id: string) => string} here @returns {Batch | null} */
function underway(sheet, kept, here) {
  if (!kept.underway) return null;
  const items = kept.underway.items.map((item) => {
    const edits = new Map();
    for (const [name, text] of Object.entries(item.texts)) {
      const edit = sheet.edit(here(item.id), name);
      // What was typed after it was sent is another edit, and is sent afterwards.
      if (edit && edit.text === text) edits.set(name, edit);
    }
    return { id: here(item.id), operation: item.operation, edits };
  });
  return { key: kept.underway.key, items };
}

/** @param {unknown} kept @returns {kept is Kept} */
function isKept(kept) {
  const one = /** @type {Partial<Kept> | null} */ (kept);
  return typeof one === "object" && one !== null && one.form === 1 && Array.isArray(one.born) && Array.isArray(one.edits) && Array.isArray(one.gone);
}
