/** The history of a record, and what was removed, in words. The sentences of changes come from the service. */

import { count, list } from "../lib/words.js";

/**
 * @typedef {{ name: string, label: string, before: string, after: string, restorable: boolean }} ChangedField
 * @typedef {{ type: string, id: string, name: string, action: string }} Beside
 *
 * @typedef {{
 *   sequence: number, at: string, actor: string, action: "created" | "changed" | "removed" | "restored", version: number, act: string,
 *   reason: string, sentence: string, fields: ChangedField[], beside: Beside[], beside_count: number
 * }} ToldChange
 *
 * @typedef {{ type: string, name: string, version: number | null, changes: ToldChange[], cursor: number | null }} History
 *
 * @typedef {{
 *   act: string, sequence: number, at: string, actor: string, reason: string, counts: { type: string, count: number }[],
 *   records: { type: string, id: string, name: string }[], state: "removed" | "brought back", recoverable: boolean, hindrance: string
 * }} RemovedAct
 */

/** The kinds by which the list of what was removed is narrowed: the service's word, and a person's. */
export const KINDS = /** @type {const} */ ([
  ["sample", "Samples"], ["layer", "Layers"], ["element", "Elements"], ["space", "Spaces"], ["evidence", "Evidence"], ["phase", "Phases"],
  ["generation", "Generations"], ["ruling", "Rulings"], ["interpretation", "Interpretations"], ["question", "Questions"], ["comment", "Comments"],
]);
/** @type {Readonly<Record<string, string>>} */
const NOUNS = { reviewrequest: "asked review", schedulerow: "row of a schedule", scheduleissue: "issue of a schedule", membership: "membership" };
/** @type {Readonly<Record<string, string>>} */
const PLURALS = { reviewrequest: "asked reviews", schedulerow: "rows of a schedule", scheduleissue: "issues of a schedule", evidence: "pieces of evidence" };
/** @type {Readonly<Record<string, string>>} */
const VERBS = { created: "made", changed: "changed", removed: "removed", restored: "brought back" };

/** '3 layers'. @param {string} type @param {number} many */
export function counted(type, many) {
  const noun = type === "evidence" ? "piece of evidence" : NOUNS[type] ?? type;
  return count(many, noun, PLURALS[type] ?? `${noun}s`);
}

/** A record with the word for what it is; a name that says it already is left as it is. @param {string} type @param {string} name */
export function called(type, name) {
  const noun = NOUNS[type] ?? type;
  return name.startsWith(noun) || type === "membership" || type === "reviewrequest" || type === "comment" ? name : `${noun} ${name}`;
}

/**
 * What an act removed: 'sample K-014, with 5 layers'.
 * @param {RemovedAct} act
 */
export function whatWent(act) {
  const named = act.records.map((one) => called(one.type, one.name));
  const heads = new Map(act.records.map((one) => [one.type, act.records.filter((other) => other.type === one.type).length]));
  const rest = act.counts.map(({ type, count: many }) => ({ type, many: many - (heads.get(type) ?? 0) })).filter(({ many }) => many > 0);
  const told = list(named);
  return rest.length ? `${told}, with ${list(rest.map(({ type, many }) => counted(type, many)))}` : told;
}

/**
 * What else the same act touched: 'In the same act: changed layer K-014/2 and removed 3 others' – '' if nothing.
 * @param {ToldChange} line
 */
export function besideWords(line) {
  if (line.beside_count === 0) return "";
  const named = line.beside.map((one) => `${called(one.type, one.name)} (${VERBS[one.action] ?? one.action})`);
  const more = line.beside_count - line.beside.length;
  return `In the same act: ${list(more > 0 ? [...named, count(more, "other record")] : named)}.`;
}

/** A value as it stands in a list of changes. @param {string} text */
export function quoted(text) {
  return text === "" ? "blank" : `“${text}”`;
}
