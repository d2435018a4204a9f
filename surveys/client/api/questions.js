/** Questions: asked, answered, withdrawn. */

import { Problem } from "../model/problems.js";
import { patch, post } from "./http.js";
import { address, all, page } from "./records.js";

/** @typedef {import("../model/questions.js").Question} Question */

/** @param {string} code @param {Record<string, string>} query @param {AbortSignal} signal @returns {Promise<Question[]>} */
export function questions(code, query, signal) {
  return all(code, "questions", query, signal);
}

/** The question of a number. @param {string} code @param {string} number @param {AbortSignal} signal @returns {Promise<Question>} */
export async function question(code, number, signal) {
  /** @type {import("./records.js").Page<Question>} */
  const found = /^\d{1,9}$/.test(number) ? await page(code, "questions", { number }, signal) : { results: [], cursor: null };
  if (!found.results[0]) throw new Problem(404, "not-found", `There is no question ${number} in ${code}.`);
  return found.results[0];
}

/** @param {string} code @param {Record<string, unknown>} values @returns {Promise<Question>} */
export function ask(code, values) {
  return post(address(code, "questions"), values);
}

/** @param {string} code @param {Question} one @param {Record<string, unknown>} values @returns {Promise<Question>} */
export function reword(code, one, values) {
  return patch(address(code, "questions", one.id), one.version, values);
}

/** @param {string} code @param {Question} one @param {string} text @param {{ type: string, id: string }[]} records @returns {Promise<Question>} */
export function answer(code, one, text, records) {
  return post(address(code, "questions", one.id, "answer"), { answer: text, records });
}

/** @param {string} code @param {Question} one @param {"withdraw" | "reopen"} deed @returns {Promise<Question>} */
export function move(code, one, deed) {
  return post(address(code, "questions", one.id, deed), undefined);
}
