/** What is new for me, and what waits for me, in words. */

import { capital, count, list } from "../lib/words.js";

/**
 * @typedef {{
 *   code: string, changes: number, comments: number, mentions: number, answers: number, questions: number, overdue: number, answered: number,
 *   reviews: number
 * }} Counts
 * @typedef {{ type: string, id: string, name: string, action: string, at: string, actor: string }} NewRecord
 * @typedef {{
 *   discipline: string, space: string, count: number, created: number, changed: number, removed: number, last_at: string,
 *   records: NewRecord[]
 * }} Group
 * @typedef {{
 *   id: string, created_at: string, created_by: string, about_type: string, about_id: string, about_name: string | null, about_field: string,
 *   thread: string | null, text: string
 * }} NewComment
 * @typedef {{
 *   id: string, number: number, created_at: string, created_by: string, about_type: string, about_id: string, about_name: string | null,
 *   text: string, needed_by: string | null, overdue: boolean, to_name: string | null, to_discipline: string, answer: string, answered_by: string | null
 * }} Asked
 * @typedef {{ interpretation: string, number: number, statement: string, created_by: string, created_at: string }} Review
 * @typedef {{
 *   since: number, seen_at: string | null, sequence: number, groups: Group[], comments: number, mentions: NewComment[], answers: NewComment[],
 *   questions: Asked[], answered: Asked[], reviews: Review[]
 * }} News
 */

/** What others wrote since one looked. @param {Counts} one */
export function fresh(one) {
  const parts = [
    one.changes > 0 && count(one.changes, "change"), one.comments > 0 && count(one.comments, "comment"),
    one.mentions > 0 && `you are called in ${one.mentions}`, one.answers > 0 && count(one.answers, "answer in your threads", "answers in your threads"),
    one.answered > 0 && count(one.answered, "question of yours answered", "questions of yours answered"),
  ];
  return list(/** @type {string[]} */ (parts.filter(Boolean)));
}

/** What waits for one. @param {Counts} one */
export function waits(one) {
  const parts = [
    one.questions > 0 && `${count(one.questions, "question")}${one.overdue > 0 ? ` (${one.overdue} overdue)` : ""}`,
    one.reviews > 0 && count(one.reviews, "review"),
  ];
  return list(/** @type {string[]} */ (parts.filter(Boolean)));
}

/** Whether there is anything to have seen. @param {News} news */
export function isNew(news) {
  return news.groups.length > 0 || news.comments > 0 || news.answered.length > 0;
}

/** Groups under their discipline, each with its spaces. @param {readonly Group[]} groups @returns {{ discipline: string, groups: Group[] }[]} */
export function byDiscipline(groups) {
  /** @type {Map<string, Group[]>} */
  const found = new Map();
  for (const one of groups) found.set(one.discipline, [...(found.get(one.discipline) ?? []), one]);
  return [...found].map(([discipline, some]) => ({ discipline, groups: some }));
}

/** How many records of a group are new, changed, gone. @param {Group} one */
export function groupTold(one) {
  const parts = [one.created > 0 && `${one.created} new`, one.changed > 0 && `${one.changed} changed`, one.removed > 0 && `${one.removed} removed`];
  return list(/** @type {string[]} */ (parts.filter(Boolean)));
}

/** @param {Group} one */
export function groupPlace(one) {
  return one.space ? `Space ${one.space}` : capital("the whole structure, and what was removed");
}

/** A text on one line, cut where it is long. @param {string} text @param {number} [most] */
export function inShort(text, most = 160) {
  const flat = text.replace(/\s+/g, " ").trim();
  return flat.length > most ? `${flat.slice(0, most - 1)}…` : flat;
}
