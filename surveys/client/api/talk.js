/** Comments: read, written, settled. */

import { withQuery } from "../lib/paths.js";
import { patch, post, read, remove } from "./http.js";
import { address, all } from "./records.js";

/** @typedef {import("../model/talk.js").Comment} Comment */
/** @typedef {import("../model/talk.js").Candidate} Candidate */
/** @typedef {import("../model/talk.js").Count} Count */
/** @typedef {{ type: string, id: string, field?: string | undefined }} About */

/**
 * All that was said about a record; with a field, about that column of it only.
 * @param {string} code @param {About} about @param {AbortSignal} [signal] @returns {Promise<Comment[]>}
 */
export async function comments(code, { type, id, field }, signal) {
  const query = { about_type: type, about_id: id, ordering: "created_at", ...(field ? { about_field: field } : {}) };
  return all(code, "comments", query, signal);
}

/** @param {string} code @param {Record<string, unknown>} values @param {AbortSignal} [signal] @param {string} [key] @returns {Promise<Comment>} */
export function say(code, values, signal, key) {
  return post(address(code, "comments"), values, signal, key);
}

/** @param {string} code @param {Comment} comment @param {string} text @returns {Promise<Comment>} */
export function edit(code, comment, text) {
  return patch(address(code, "comments", comment.id), comment.version, { text });
}

/** @param {string} code @param {Comment} comment */
export function takeBack(code, comment) {
  return remove(address(code, "comments", comment.id), comment.version);
}

/** @param {string} code @param {Comment} head @param {"resolve" | "reopen"} deed @returns {Promise<Comment>} */
export function settle(code, head, deed) {
  return post(address(code, "comments", head.id, deed), undefined);
}

/** @type {Map<string, Promise<Candidate[]>>} */
const known = new Map();

/** Who can be called by name: members who see the project. Asked for once a screen. @param {string} code @param {AbortSignal} signal @returns {Promise<Candidate[]>} */
export function candidates(code, signal) {
  const found = known.get(code) ?? read(address(code, "comments", "candidates"), signal).then((body) => body.results);
  known.set(code, found);
  signal.addEventListener("abort", () => known.delete(code));
  found.catch(() => known.delete(code));
  return found;
}

/** Open and resolved threads by record and field. @param {string} code @param {string} [type] @param {AbortSignal} [signal] @returns {Promise<Count[]>} */
export async function threadCounts(code, type = "", signal = undefined) {
  return (await read(withQuery(address(code, "comments", "threads"), { about_type: type }), signal)).results;
}
