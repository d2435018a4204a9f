/** Questions: how they stand, whom they ask, and who may do what with them. The service decides; this is only for show. */

import { path } from "../lib/paths.js";
import { mayManage, mayTalk } from "./roles.js";

/**
 * @typedef {{ type: string, id: string, name: string | null }} RestsOn
 * @typedef {{
 *   id: string, version: number, number: number, created_at: string, created_by: string, author: string, about_type: string, about_id: string,
 *   about_name: string | null, to_person: string | null, to_name: string | null, to_discipline: string, text: string, needed_by: string | null,
 *   state: "open" | "answered" | "withdrawn", overdue: boolean, answer: string, answered_by: string | null, answered_at: string | null,
 *   answer_records: RestsOn[]
 * }} Question
 * @typedef {{ username: string, role: import("./types.js").Role, discipline: string }} Me
 * @typedef {{ key: string, label: string, query: Record<string, string>, mine?: boolean }} View
 */

/** What the list can show. @type {readonly View[]} */
export const VIEWS = [
  { key: "open", label: "Open", query: { state: "open" } },
  { key: "mine", label: "To me or my discipline", query: { state: "open" }, mine: true },
  { key: "asked", label: "Asked by me", query: { author: "me" } },
  { key: "overdue", label: "Overdue", query: { overdue: "true" } },
  { key: "answered", label: "Answered", query: { state: "answered" } },
  { key: "withdrawn", label: "Withdrawn", query: { state: "withdrawn" } },
];

/** @param {string | null} wanted @returns {View} */
export function viewOf(wanted) {
  return VIEWS.find((one) => one.key === wanted) ?? /** @type {View} */ (VIEWS[0]);
}

/** By shape and word. @param {Pick<Question, "state" | "overdue">} one */
export function stateMark(one) {
  if (one.overdue) return { mark: "▲", word: "open, overdue" };
  return { open: { mark: "○", word: "open" }, answered: { mark: "●", word: "answered" }, withdrawn: { mark: "–", word: "withdrawn" } }[one.state];
}

/** @param {Pick<Question, "to_name" | "to_discipline">} one */
export function addressee(one) {
  return one.to_name ?? one.to_discipline;
}

/** Whether a question asks somebody, by name or by discipline. @param {Question} one @param {Me} me */
export function asks(one, me) {
  return one.to_person === me.username || (one.to_discipline !== "" && one.to_discipline === me.discipline);
}

/** @param {Question} one @param {Me} me */
export function mayAnswer(one, me) {
  return one.state === "open" && mayTalk(me.role) && (asks(one, me) || mayManage(me.role));
}

/** Whether one asked it: then one words it, withdraws it and asks it again. @param {Question} one @param {Me} me */
export function asked(one, me) {
  return one.author === me.username && mayTalk(me.role);
}

/** Where one asks about a record. @param {string} code @param {string} type @param {string} id @param {string} name */
export function askAddress(code, type, id, name) {
  const query = [["about", type], ["id", id], ["name", name]].map(([key = "", value = ""]) => `${key}=${encodeURIComponent(value)}`).join("&");
  return `${path("projects", code, "questions", "new")}?${query}`;
}

/** @type {Record<string, string>} */
const REGISTERS = { space: "spaces", element: "elements", sample: "samples", layer: "layers", evidence: "evidence", phase: "phases" };

/** Where a record that is spoken of is shown; '' where it has no place of its own. @param {string} code @param {string} type @param {string} id @param {string | null} name */
export function placeOf(code, type, id, name) {
  if (type === "project") return path("projects", code);
  if (name === null) return "";
  if (type === "interpretation") return path("projects", code, "findings", name);
  if (type === "question") return path("projects", code, "questions", name);
  if (type === "generation") return path("projects", code, "spaces", name.slice(0, name.lastIndexOf("/")));
  const register = REGISTERS[type];
  return register ? path("projects", code, "registers", register, id) : "";
}

/** The records that an answer rests on, as they are sent. @param {readonly { type: string, id: string }[]} cited */
export function restsOn(cited) {
  return cited.map(({ type, id }) => ({ type, id }));
}
