/** Comments: their text in parts, threads, who can be called, and where threads are open. */

import { count } from "../lib/words.js";

/**
 * @typedef {{ username: string, name: string }} Called
 * @typedef {{
 *   id: string, version: number, created_at: string, created_by: string, author: string, about_type: string, about_id: string,
 *   about_name: string | null, about_field: string, thread: string | null, text: string, edited_at: string | null, resolved: boolean,
 *   resolved_at: string | null, resolved_by: string | null, mentions: Called[]
 * }} Comment
 * @typedef {{ head: Comment, replies: Comment[] }} Thread
 * @typedef {{ username: string, name: string, role: string, discipline: string }} Candidate
 * @typedef {{ about_type: string, about_id: string, about_field: string, open: number, resolved: number }} Count
 * @typedef {{ kind: "text" | "link" | "mention", text: string, href?: string }} Part
 */

const URLS = /https?:\/\/[^\s<>"'`]+/gi;
const NAMES = /(?<![\p{L}\p{N}_])@[\p{L}\p{N}_.+-]+/gu;
const AT_THE_END = /[.,;:!?…]+$/;
const HOST = /^https?:\/\/[^/?#]*[\p{L}\p{N}]/iu;
const OFFERED = 6;

/**
 * A text as words, links and names. Only http and https become links; only who was really called becomes a name.
 * @param {string} text @param {readonly Called[]} mentions @returns {Part[]}
 */
export function parts(text, mentions) {
  /** @type {Part[]} */
  const found = [];
  let from = 0;
  for (const one of text.matchAll(URLS)) {
    const href = linked(one[0]);
    if (!HOST.test(href)) continue;
    found.push(...named(text.slice(from, one.index), mentions), { kind: "link", text: href, href });
    from = one.index + href.length;
  }
  return [...found, ...named(text.slice(from), mentions)];
}

/** Where a link ends: what closes the sentence or the bracket around it is no part of it. @param {string} written */
function linked(written) {
  const text = written.replace(AT_THE_END, "");
  return text.endsWith(")") && !text.includes("(") ? text.slice(0, -1).replace(AT_THE_END, "") : text;
}

/** @param {string} text @param {readonly Called[]} mentions @returns {Part[]} */
function named(text, mentions) {
  const known = new Set(mentions.map((one) => one.username.toLowerCase()));
  /** @type {Part[]} */
  const found = [];
  let from = 0;
  for (const one of text.matchAll(NAMES)) {
    const written = [one[0], one[0].replace(/[.+-]+$/, "")].find((name) => known.has(name.slice(1).toLowerCase()));
    if (!written) continue;
    if (one.index > from) found.push({ kind: "text", text: text.slice(from, one.index) });
    found.push({ kind: "mention", text: written });
    from = one.index + written.length;
  }
  return from < text.length ? [...found, { kind: "text", text: text.slice(from) }] : found;
}

/**
 * The name that is being typed at the caret: where its @ stands, and what follows it so far.
 * @param {string} text @param {number} caret @returns {{ start: number, typed: string } | null}
 */
export function beingTyped(text, caret) {
  const found = /(?<![\p{L}\p{N}_])@([\p{L}\p{N}_.+-]*)$/u.exec(text.slice(0, caret));
  return found ? { start: found.index, typed: found[1] ?? "" } : null;
}

/**
 * Who may be meant: whose name to sign in with begins so, or a part of whose name does.
 * @param {readonly Candidate[]} candidates @param {string} typed @returns {Candidate[]}
 */
export function offered(candidates, typed) {
  const wanted = typed.toLowerCase();
  const begins = (/** @type {Candidate} */ one) => [one.username, ...one.name.split(/\s+/)].some((word) => word.toLowerCase().startsWith(wanted));
  return candidates.filter(begins).slice(0, OFFERED);
}

/** Threads by when they began; answers by when they were written. @param {readonly Comment[]} comments @returns {Thread[]} */
export function threadsOf(comments) {
  const order = [...comments].sort((a, b) => a.created_at.localeCompare(b.created_at) || a.id.localeCompare(b.id));
  return order.filter((one) => one.thread === null).map((head) => ({ head, replies: order.filter((one) => one.thread === head.id) }));
}

/** The column of a grid as a person knows it. @param {string} field */
export function fieldName(field) {
  return field.replaceAll("_", " ");
}

/** What a comment is about, in words. @param {{ about_type: string, about_name: string | null, about_field: string }} one */
export function aboutName(one) {
  const what = one.about_type === "project" ? "the project" : one.about_name === null ? `${one.about_type} (removed)` : `${one.about_type} ${one.about_name}`;
  return one.about_field ? `${what}, ${fieldName(one.about_field)}` : what;
}

/** Open threads of records and of their fields. */
export class Marks {
  /** @param {readonly Count[]} counts */
  constructor(counts = []) {
    /** @type {Map<string, Map<string, number>>} */
    this.found = new Map();
    for (const { about_id: id, about_field: field, open } of counts) {
      if (open === 0) continue;
      const fields = this.found.get(id) ?? new Map();
      fields.set(field, (fields.get(field) ?? 0) + open);
      this.found.set(id, fields);
    }
  }

  /** How many threads are open on just this field ('' for the record as a whole). @param {string} id @param {string} field */
  at(id, field) {
    return this.found.get(id)?.get(field) ?? 0;
  }

  /** How many are open on a record, its fields included. @param {string} id */
  on(id) {
    return [...(this.found.get(id)?.values() ?? [])].reduce((sum, one) => sum + one, 0);
  }

  /** The records with open threads. */
  ids() {
    return [...this.found.keys()];
  }

  /** Those on which something differs from another state. @param {Marks} other */
  differing(other) {
    const told = (/** @type {Marks} */ marks, /** @type {string} */ id) => JSON.stringify([...(marks.found.get(id) ?? [])].sort());
    return [...new Set([...this.ids(), ...other.ids()])].filter((id) => told(this, id) !== told(other, id));
  }
}

/** @param {number} open */
export function openThreads(open) {
  return count(open, "open comment");
}
