/** The names by which people call records, and the ids that they stand for. */

/** @typedef {import("./sheet.js").Sheet} Sheet */

export class References {
  constructor() {
    /** @type {Map<string, { ids: Map<string, string>, names: Map<string, string> }>} */
    this.collections = new Map();
  }

  /**
   * @param {string} collection
   * @param {Iterable<readonly [id: string, name: string]>} pairs
   */
  set(collection, pairs) {
    const found = { ids: new Map(), names: new Map() };
    for (const [id, name] of pairs) {
      found.ids.set(name, id);
      found.names.set(id, name);
    }
    this.collections.set(collection, found);
  }

  /** The id of what is called that; names are as they are written, or as they are in another case if that is one only. @param {string} collection @param {string} name */
  id(collection, name) {
    const known = this.collections.get(collection);
    if (!known) return "";
    const exact = known.ids.get(name);
    if (exact) return exact;
    const wanted = name.toLowerCase();
    const near = [...known.ids].filter(([other]) => other.toLowerCase() === wanted);
    return near.length === 1 ? (near[0]?.[1] ?? "") : "";
  }

  /** @param {string} collection @param {string} id */
  name(collection, id) {
    return this.collections.get(collection)?.names.get(id) ?? "";
  }

  /** @param {string} collection */
  all(collection) {
    return [...(this.collections.get(collection)?.ids.keys() ?? [])];
  }
}

/** What was typed names records, some of which are known only now: read it once more. @param {Sheet} sheet @returns {boolean} whether any of it means something now */
export function readNamesAnew(sheet) {
  /** @type {string[]} */
  const found = [];
  for (const [id, edits] of [...sheet.edits]) {
    for (const [name, edit] of [...edits]) {
      if (!edit.fault || sheet.columns.get(name)?.type !== "reference") continue;
      const held = sheet.read(id, name, edit.text);
      if (held.fault) continue;
      sheet.put(id, name, held, { base: edit.base });
      found.push(id);
    }
  }
  sheet.tell(found);
  return found.length > 0;
}
