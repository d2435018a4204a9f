/** How far a study has come, as a table of element classes by spaces; what is missing; and what each discipline did lately. */

import { withQuery } from "../lib/paths.js";
import { list } from "../lib/words.js";

/** @typedef {import("./types.js").Change} Change */
/** @typedef {import("./types.js").DateConflict} DateConflict */
/** @typedef {{ id: string, number: string, name: string, correlated_at: string | null, current: boolean }} SpaceState */
/**
 * @typedef {{
 *   space: string, element_class: string, elements: number, planned: string[], sampled: string[], mounted: string[], visible: string[],
 *   uv: string[], layers: number, placed: number, generations: string[], dated: string[], interpreted: string[], agreed: string[]
 * }} Cell
 * @typedef {{ kind: string, space: string, element_class: string, names: string[], gain: number, sentence: string, reason: string }} Gap
 * @typedef {{ spaces: SpaceState[], cells: Cell[], missing: Gap[], conflicts: DateConflict[], dating_current: boolean }} Coverage
 * @typedef {{ collection: string, query: Record<string, string> }} Target records in a register
 * @typedef {{ many: number, target: Target | null }} Counted
 * @typedef {{ part: Counted, whole: Counted }} Share
 * @typedef {{ key: string, label: string, told: string }} Measure
 */

/** What the table can show, one at a time. @type {readonly Measure[]} */
export const MEASURES = [
  { key: "sampled", label: "Sampled", told: "samples taken, of elements" },
  { key: "mounted", label: "Mounted", told: "samples mounted, of samples taken" },
  { key: "visible", label: "Examined", told: "samples examined in visible light, of samples taken" },
  { key: "uv", label: "Under UV", told: "samples examined under UV, of samples taken" },
  { key: "placed", label: "Correlated", told: "layers placed in a generation, of layers seen" },
  { key: "dated", label: "Dated", told: "generations bounded on both sides by records, of generations found there" },
  { key: "interpreted", label: "Interpreted", told: "elements on which an interpretation bears, of elements" },
  { key: "agreed", label: "Agreed", told: "elements on which an agreed interpretation bears, of those interpreted" },
];

/** Beyond so many, names no longer fit an address. */
const MOST_NAMES = 150;

/** @param {string | null} wanted @returns {Measure} */
export function measureOf(wanted) {
  return MEASURES.find((one) => one.key === wanted) ?? /** @type {Measure} */ (MEASURES[0]);
}

/**
 * Classes in the project's order; what it does not list comes last.
 * @param {readonly Cell[]} cells @param {readonly string[]} order
 */
export function classesOf(cells, order) {
  const place = (/** @type {string} */ name) => (order.includes(name) ? order.indexOf(name) : order.length);
  return [...new Set(cells.map((one) => one.element_class))].sort((a, b) => place(a) - place(b) || a.localeCompare(b));
}

/**
 * What some cells hold together, by one measure.
 * @param {readonly Cell[]} cells
 * @param {string} measure
 * @param {{ space?: string, element_class?: string }} where what the cells have in common
 * @returns {Share}
 */
export function shareOf(cells, measure, where) {
  const within = whereOf(where);
  const samples = (/** @type {"sampled" | "mounted" | "visible" | "uv"} */ stage) => named("samples", "number", cells.flatMap((one) => one[stage]), within);
  if (measure === "placed") return { part: counted("layers", sum(cells, "placed"), { ...within, "where.generation": "(not blank)" }), whole: counted("layers", sum(cells, "layers"), within) };
  if (measure === "dated") {
    const space = whereOf(where.space ? { space: where.space } : {});
    const all = (/** @type {"dated" | "generations"} */ name) => named("generations", "name", [...new Set(cells.flatMap((one) => one[name]))], space);
    return { part: all("dated"), whole: all("generations") };
  }
  const elements = (/** @type {"interpreted" | "agreed"} */ name) => named("elements", "code", cells.flatMap((one) => one[name]), within);
  if (measure === "interpreted") return { part: elements("interpreted"), whole: counted("elements", sum(cells, "elements"), within) };
  if (measure === "agreed") return { part: elements("agreed"), whole: elements("interpreted") };
  if (measure === "sampled") return { part: samples("sampled"), whole: counted("elements", sum(cells, "elements"), within) };
  return { part: samples(/** @type {"mounted" | "visible" | "uv"} */ (measure)), whole: samples("sampled") };
}

/** By shape and word. @param {Share} share */
export function markOf({ part, whole }) {
  if (part.many === 0) return { mark: "○", word: "none" };
  return part.many >= whole.many ? { mark: "●", word: "all" } : { mark: "◑", word: "some" };
}

/** @param {readonly Cell[]} cells @param {"elements" | "layers" | "placed"} name */
function sum(cells, name) {
  return cells.reduce((total, one) => total + one[name], 0);
}

/** @param {{ space?: string, element_class?: string }} where @returns {Record<string, string>} */
function whereOf(where) {
  return { ...(where.space ? { space: where.space } : {}), ...(where.element_class ? { "where.element_class": `=${where.element_class}` } : {}) };
}

/** @param {string} collection @param {number} many @param {Record<string, string>} query @returns {Counted} */
function counted(collection, many, query) {
  return { many, target: many > 0 ? { collection, query } : null };
}

/** Records by their names, where these fit an address. @param {string} collection @param {string} column @param {readonly string[]} names @param {Record<string, string>} otherwise @returns {Counted} */
function named(collection, column, names, otherwise) {
  return counted(collection, names.length, byNames(column, names) ?? otherwise);
}

/** @param {string} column @param {readonly string[]} names @returns {Record<string, string> | null} */
function byNames(column, names) {
  if (names.length > MOST_NAMES || names.some((one) => one.includes("|"))) return null;
  return { [`where.${column}`]: `=${names.join("|")}` };
}

/** @param {string} base the address of the project @param {Target} target */
export function addressOf(base, target) {
  return withQuery(`${base}/registers/${target.collection}`, target.query);
}

// -- what is missing -----------------------------------------------------------------------------------------------------------

/** @type {Record<string, { mark: string, word: string }>} */
const KINDS = {
  conflict: { mark: "▲", word: "conflict of date" },
  "not correlated": { mark: "○", word: "not correlated" },
  "out of date": { mark: "◑", word: "out of date" },
  unsampled: { mark: "○", word: "not sampled" },
  "one sample": { mark: "│", word: "one sample" },
  "weak joint": { mark: "╌", word: "weak joint" },
  "low confidence": { mark: "?", word: "low confidence" },
  planned: { mark: "□", word: "planned" },
  "not mounted": { mark: "□", word: "not mounted" },
  "not examined": { mark: "□", word: "not examined" },
  "no UV": { mark: "□", word: "no UV" },
};

/** @param {string} kind */
export function kindOf(kind) {
  return KINDS[kind] ?? { mark: "□", word: kind };
}

/**
 * The records at issue; null where the space's chart shows them best.
 * @param {Gap} gap @returns {Target | null}
 */
export function targetOf(gap) {
  const within = whereOf(gap);
  if (gap.kind === "unsampled") return { collection: "elements", query: within };
  if (gap.kind === "one sample") return { collection: "generations", query: byNames("name", gap.names) ?? within };
  if (gap.kind === "low confidence") return { collection: "layers", query: { ...within, "where.confidence": "<0.5", sort: "confidence" } };
  if (["planned", "not mounted", "not examined", "no UV"].includes(gap.kind)) return { collection: "samples", query: byNames("number", gap.names) ?? within };
  return null;
}

/** A conflict in one line; its whole sentence stands elsewhere. @param {DateConflict} conflict */
export function inShort(conflict) {
  const names = conflict.records.map((one) => (one.kind === "evidence" || one.kind === "material" ? one.key : `${one.kind} ${one.key}`));
  const spaces = [...new Set(conflict.generations.map((one) => one.slice(0, one.lastIndexOf("/"))))];
  const where = `${conflict.generations.length} ${conflict.generations.length === 1 ? "generation" : "generations"} of ${list(spaces.map((one) => `space ${one}`))}`;
  return names.length === 1 ? `${names[0]} contradicts itself (${where}).` : `${list(names)} cannot ${names.length === 2 ? "both" : "all"} be true (${where}).`;
}

// -- what was done lately ------------------------------------------------------------------------------------------------------

/** @typedef {{ act: string, at: string, actor: string, reason: string, lines: Change[] }} Act */

const COMPUTED = new Set(["Correlated.", "Dated."]);
export const COMPUTATION = "computed";

/**
 * Acts under the discipline of who did them, in the order of the closed list; what was computed and who has left come last.
 * @param {readonly Act[]} acts newest first
 * @param {readonly { name: string, discipline: string }[]} members
 * @param {readonly string[]} order
 * @returns {{ discipline: string, acts: Act[] }[]}
 */
export function byDiscipline(acts, members, order) {
  const disciplines = new Map(members.map((one) => [one.name, one.discipline]));
  /** @type {Map<string, Act[]>} */
  const found = new Map();
  for (const act of acts) {
    const discipline = COMPUTED.has(act.reason) ? COMPUTATION : (disciplines.get(act.actor) ?? "no longer a member");
    found.set(discipline, [...(found.get(discipline) ?? []), act]);
  }
  const place = (/** @type {string} */ name) => (order.includes(name) ? order.indexOf(name) : order.length);
  return [...found].map(([discipline, some]) => ({ discipline, acts: some })).sort((a, b) => place(a.discipline) - place(b.discipline) || a.discipline.localeCompare(b.discipline));
}

/** @type {Record<string, readonly [collection: string, column: string, many: string]>} */
const REGISTERS = {
  space: ["spaces", "number", "spaces"],
  element: ["elements", "code", "elements"],
  sample: ["samples", "number", "samples"],
  layer: ["layers", "name", "layers"],
  generation: ["generations", "name", "generations"],
  phase: ["phases", "label", "phases"],
  evidence: ["evidence", "reference", "evidence"],
};

/**
 * Where the records of an act stand, a register each; what was removed stands nowhere.
 * @param {Act} act @returns {{ text: string, target: Target }[]}
 */
export function recordsOf(act) {
  /** @type {Map<string, Set<string>>} */
  const names = new Map();
  for (const line of act.lines) {
    if (line.action === "removed" || line.record_type === "phase") continue;
    names.set(line.record_type, (names.get(line.record_type) ?? new Set()).add(line.record_name));
  }
  return [...names].flatMap(([type, some]) => {
    const [collection, column, many] = REGISTERS[type] ?? [];
    const query = column && byNames(column, [...some]);
    return collection && query ? [{ text: some.size === 1 ? `${type} ${[...some][0]}` : `${some.size} ${many}`, target: { collection, query } }] : [];
  });
}
