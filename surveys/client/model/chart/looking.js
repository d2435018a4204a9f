/** Where to look next in a space, in words. */

/**
 * @typedef {"layer" | "joint" | "UV" | "pigments"} Kind
 * @typedef {{ kind: Kind, layers: string[], layer_ids: string[], generations: number[], gain: number, chance: number, sentence: string }} Suggestion
 * @typedef {{ space: string, unit: string, doubt: number, current: boolean, sentence: string, rulings: Suggestion[], examinations: Suggestion[] }} Looking
 */

const KINDS = /** @type {const} */ ({ layer: { mark: "◇", word: "layer" }, joint: { mark: "≈", word: "joint" }, UV: { mark: "☼", word: "UV" }, pigments: { mark: "∴", word: "pigments" } });

/** A suggestion's kind by shape and word. @param {Kind} kind */
export function kindOf(kind) {
  return KINDS[kind];
}

/** What it would settle, and what part of all doubt that is. @param {Suggestion} one @param {Looking} all */
export function gainWords(one, all) {
  const bits = `${one.gain.toFixed(1)} bits`;
  if (!(all.doubt > 0)) return bits;
  const part = (100 * one.gain) / all.doubt;
  return `${bits}, ${part < 1 ? "under 1" : Math.round(part)} % of the space's doubt`;
}

/** What pressing its button does. @param {Suggestion} one @param {boolean} writes */
export function selectWords(one, writes) {
  const [first = "", second = ""] = one.layers;
  if (!writes) return `Show ${first}`;
  if (one.layers.length === 1) return `Select ${first}`;
  return one.layers.length === 2 ? `Select ${first} and ${second}` : `Select its ${one.layers.length} layers`;
}
