/** The names by which people call records, and the ids that they stand for. */

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
