/** Interpretations: their states, what they are about and cite, how a list of them is narrowed, and two disciplines side by side. */

import { path, withQuery } from "../lib/paths.js";
import { year, years } from "../lib/words.js";

/** @typedef {"working" | "for comment" | "agreed" | "disputed" | "superseded"} State */
/** @typedef {{ type: string, id: string, name: string, note: string, version?: number, state?: State | null }} Citation */
/**
 * @typedef {{
 *   id: string, version: number, number: number, created_at: string, created_by: string, author: string, discipline: string, subject: string,
 *   subject_name: string, space: string | null, element: string | null, generation: string | null, phase: string | null, layer: string | null,
 *   within: string | null, within_number: string | null, statement: string, certainty: string, supersedes: string | null,
 *   supersedes_number: number | null, state: State, state_by: string | null, state_at: string | null, state_reason: string,
 *   citation_count: number, citations: Citation[]
 * }} Interpretation
 *
 * @typedef {{ id: string, number: number, state: State, statement: string, discipline: string }} Related
 * @typedef {{
 *   version: number, state: State, may_write: boolean, may_ask: boolean, moves: { to: State, reason_needed: boolean }[],
 *   made: { at: string, actor: string, from: State, to: State, reason: string }[],
 *   reviews: { id: string, username: string, name: string, asked_by: string, asked_at: string, answered_at: string | null }[],
 *   changed: { type: string, id: string, name: string, changed: string, at: string, actor: string, action: string, fields: string[] }[],
 *   cited_by: Related[], superseded_by: Related[]
 * }} Review
 *
 * @typedef {{ kind: string, key: string, id: string | null, sentence: string }} Step
 * @typedef {{
 *   id: string, name: string, ordinal: number, label: string, phase: string | null, layers: number, least_confidence: number | null,
 *   earliest: number | null, latest: number | null, earliest_by: Step[], latest_by: Step[]
 * }} PaintGeneration
 * @typedef {{ element: string, element_id: string, element_class: string, conclusion: string, certainty: number | null, sentence: string }} Reading
 * @typedef {{
 *   id: string, reference: string, discipline: string, kind: string, source: string, statement: string, bears_on: string, target: string | null,
 *   relation: string, earliest: number | null, latest: number | null, years_as_written: string, certainty: string
 * }} Evidence
 * @typedef {{
 *   id: string, number: number, discipline: string, author: string, subject: string, subject_name: string, statement: string,
 *   certainty: string, state: State, state_by: string | null, state_reason: string, citation_count: number
 * }} Said
 * @typedef {{ kind: string, sentence: string, records: { type: string, id: string | null, name: string, discipline: string }[] }} Point
 * @typedef {{
 *   id: string, number: number, asked_by: string, to: string, discipline: string, text: string, needed_by: string | null,
 *   about_type: string, about_id: string, about_name: string | null
 * }} Asked
 * @typedef {{
 *   space: { id: string, number: string, name: string }, element: { id: string, code: string, element_class: string, position: string } | null,
 *   disciplines: string[], generations: PaintGeneration[], readings: Reading[], documents: Evidence[], construction: Evidence[],
 *   interpretations: Said[], agreements: Point[], contradictions: Point[], questions: Asked[]
 * }} Sides
 */

/** @typedef {{ get: (name: string) => string | null }} Query what stands in an address */

export const STATES = /** @type {const} */ (["working", "for comment", "agreed", "disputed", "superseded"]);
export const SUBJECTS = /** @type {const} */ (["space", "element", "generation", "phase", "layer"]);
export const CITABLE = /** @type {const} */ (["sample", "layer", "evidence", "interpretation"]);
// Whose discipline speaks by the paint itself.
const OF_PAINT = ["paint conservation", "materials science"];

const MARKS = { working: "○", "for comment": "◔", agreed: "●", disputed: "▲", superseded: "⊘" };

/** A state by shape and word. @param {State} state */
export function stateMark(state) {
  return { mark: MARKS[state] ?? "?", word: state };
}

/** What a move is called on its button. @param {State} from @param {State} to */
export function moveWord(from, to) {
  if (to === "agreed") return "Agree";
  if (to === "disputed") return "Dispute";
  if (to === "working") return "Take back as a draft";
  if (from === "working") return "Put up for comment";
  return from === "agreed" ? "Take back for comment" : "Put up for comment again";
}

/** What moves people make, told as a sentence. @param {{ actor: string, from: State, to: State }} move */
export function moveTold({ actor, from, to }) {
  if (to === "superseded") return `superseded, as ${actor} agreed to what replaces it`;
  if (to === "agreed") return `${actor} agreed`;
  if (to === "disputed") return `${actor} disputed it`;
  if (to === "working") return `${actor} took it back as a draft`;
  return from === "working" ? `${actor} put it up for comment` : `${from === "agreed" ? "for comment again, by" : "put up for comment again by"} ${actor}`;
}

/** @type {Record<string, string>} */
const REGISTERS = { space: "spaces", element: "elements", sample: "samples", layer: "layers", evidence: "evidence", phase: "phases" };

/** Where a record is shown; null where it has no page of its own. @param {string} code @param {string} type @param {string | null} id @param {string} name */
export function pageOf(code, type, id, name) {
  if (type === "interpretation") return path("projects", code, "findings", name);
  if (type === "generation" || type === "order") return path("projects", code, "spaces", name.slice(0, name.lastIndexOf("/")));
  const register = REGISTERS[type];
  return register && id ? path("projects", code, "registers", register, id) : null;
}

// -- the list ------------------------------------------------------------------------------------------------------------------

export const FILTERS = /** @type {const} */ (["state", "discipline", "subject", "author", "certainty", "space", "search", "concerns"]);

/**
 * The filters of an address, as the interface takes them. A space means all that lies in it.
 * @param {Query} query
 * @returns {Record<string, string>}
 */
export function asked(query) {
  /** @type {Record<string, string>} */
  const found = {};
  for (const name of FILTERS) {
    const value = query.get(name)?.trim();
    if (value) found[name === "space" ? "within_number" : name] = value;
  }
  return found;
}

/** How many filters an address bears. @param {Query} query */
export function narrowed(query) {
  return Object.keys(asked(query)).length > 0;
}

// -- citations -----------------------------------------------------------------------------------------------------------------

/** What an address asks to be cited: `layer:id,sample:id`. @param {string | null} text @returns {{ type: string, id: string }[]} */
export function citesAsked(text) {
  const kinds = /** @type {readonly string[]} */ (CITABLE);
  return (text ?? "").split(",").map((one) => one.split(":")).flatMap(([type = "", id = ""]) => (kinds.includes(type) && /^[0-9a-f-]{36}$/i.test(id) ? [{ type, id }] : []));
}

/** The address of a new interpretation that cites records. @param {string} code @param {{ type: string, id: string }[]} cites @param {Record<string, string>} [more] */
export function newAddress(code, cites, more = {}) {
  return withQuery(path("projects", code, "findings", "new"), { ...more, cites: cites.map((one) => `${one.type}:${one.id}`).join(",") });
}

/** Citations as they are sent. @param {readonly Citation[]} cites */
export function sent(cites) {
  return cites.map(({ type, id, note }) => (note.trim() ? { type, id, note: note.trim() } : { type, id }));
}

/** Whether two lists of citations say the same, in whatever order. @param {readonly Citation[]} one @param {readonly Citation[]} other */
export function sameCites(one, other) {
  const told = (/** @type {readonly Citation[]} */ cites) => sent(cites).map((cite) => JSON.stringify(cite)).sort().join();
  return told(one) === told(other);
}

// -- side by side --------------------------------------------------------------------------------------------------------------

/**
 * @typedef {object} Side
 * @property {string} title
 * @property {PaintGeneration[] | null} generations null where the paint is not of this side
 * @property {Reading[]} readings
 * @property {Evidence[]} evidence
 * @property {Said[]} said
 * @property {Asked[]} questions asked of it
 */

/**
 * Two disciplines, if two are chosen; else paint, documents and construction.
 * @param {Sides} sides @param {string} left @param {string} right @returns {Side[]}
 */
export function columns(sides, left, right) {
  if (left && right) return [left, right].map((one) => ofDiscipline(sides, one));
  const none = { generations: null, readings: [], questions: [] };
  const said = (/** @type {(one: Said) => boolean} */ fits) => sides.interpretations.filter(fits);
  const paint = (/** @type {Said} */ one) => OF_PAINT.includes(one.discipline);
  const built = (/** @type {Said} */ one) => ["archaeology", "architecture", "structural engineering"].includes(one.discipline);
  return [
    { title: "Paint", generations: sides.generations, readings: sides.readings, evidence: [], said: said(paint), questions: [] },
    { ...none, title: "Documents", evidence: sides.documents, said: said((one) => !paint(one) && !built(one)) },
    { ...none, title: "Construction and other", evidence: sides.construction, said: said(built) },
  ];
}

/** @param {Sides} sides @param {string} discipline @returns {Side} */
function ofDiscipline(sides, discipline) {
  const mine = (/** @type {{ discipline: string }} */ one) => one.discipline === discipline;
  const paints = OF_PAINT.includes(discipline);
  return {
    title: discipline,
    generations: paints ? sides.generations : null,
    readings: paints ? sides.readings : [],
    evidence: [...sides.documents, ...sides.construction].filter(mine),
    said: sides.interpretations.filter(mine),
    questions: sides.questions.filter(mine),
  };
}

/** What evidence says of when: 'made before 1905, firm'. @param {Pick<Evidence, "relation" | "earliest" | "latest" | "years_as_written" | "certainty">} one */
export function whenTold({ relation, earliest, latest, years_as_written: written, certainty }) {
  const bound = relation === "made before" ? (latest ?? earliest) : relation === "made after" ? (earliest ?? latest) : null;
  const when = written || (bound === null ? years(earliest, latest) : year(bound));
  return [`${relation} ${when}`.trim(), certainty].filter(Boolean).join(", ");
}
