/** Interpretations: read, written, moved and reviewed; what can be cited; and what disciplines say side by side. */

import { Problem } from "../model/problems.js";
import { post, postOn, read } from "./http.js";
import { address, page, record } from "./records.js";

/** @typedef {import("../model/findings.js").Interpretation} Interpretation */
/** @typedef {import("../model/findings.js").Review} Review */
/** @typedef {import("../model/findings.js").Citation} Citation */
/** @typedef {import("../model/findings.js").Sides} Sides */

const LISTED = 100;
const OFFERED = 6;

/** @param {string} code @param {Record<string, string>} query @param {string | null} cursor @param {AbortSignal} signal */
export function interpretations(code, query, cursor, signal) {
  return /** @type {Promise<import("./records.js").Page<Interpretation>>} */ (page(code, "interpretations", { ...query, page_size: LISTED, cursor, count: cursor ? null : "true" }, signal));
}

/** The interpretation of a number. @param {string} code @param {string} number @param {AbortSignal} signal @returns {Promise<Interpretation>} */
export async function interpretation(code, number, signal) {
  const found = /^\d{1,9}$/.test(number) ? (await page(code, "interpretations", { number }, signal)).results[0] : undefined;
  if (!found) throw new Problem(404, "not-found", `There is no interpretation ${number} in ${code}.`);
  return /** @type {Interpretation} */ (/** @type {unknown} */ (found));
}

/** @param {string} code @param {string} id @param {AbortSignal} signal @returns {Promise<Review>} */
export function review(code, id, signal) {
  return read(address(code, "interpretations", id, "review"), signal);
}

/** @param {string} code @param {{ id: string, version: number }} one @param {string} to @param {string} reason @returns {Promise<Interpretation>} */
export function move(code, one, to, reason) {
  return postOn(address(code, "interpretations", one.id, "transitions"), one.version, { to, reason });
}

/** @param {string} code @param {string} id @param {string[]} people */
export function askReview(code, id, people) {
  return post(address(code, "interpretations", id, "reviews"), { people });
}

/** @param {string} code @param {string} id */
export function looked(code, id) {
  return post(`${address(code, "interpretations", id, "reviews")}/looked`, undefined);
}

/** @param {string} code @param {"spaces" | "elements"} kind @param {string} id @param {AbortSignal} signal @returns {Promise<Sides>} */
export function sides(code, kind, id, signal) {
  return read(address(code, kind, id, "side-by-side"), signal);
}

/** @typedef {{ type: string, collection: string, name: string, told: string[] }} Kind */
/** @type {readonly Kind[]} */
const KINDS = [
  { type: "sample", collection: "samples", name: "number", told: ["element_code", "location"] },
  { type: "layer", collection: "layers", name: "name", told: ["kind", "colour", "munsell"] },
  { type: "evidence", collection: "evidence", name: "reference", told: ["kind", "statement"] },
  { type: "interpretation", collection: "interpretations", name: "number", told: ["state", "statement"] },
];

/**
 * Records that can be cited in which a text stands, a few of each kind; those whose name begins with it first.
 * @param {string} code @param {string} text @param {AbortSignal} signal @returns {Promise<(Citation & { hint: string })[]>}
 */
export async function citable(code, text, signal) {
  const found = await Promise.all(KINDS.map(async (kind) => {
    const query = { search: text, page_size: OFFERED, fields: ["id", kind.name, ...kind.told].join(",") };
    return (await page(code, kind.collection, query, signal)).results.map((row) => cited(kind, row));
  }));
  const wanted = text.toLowerCase();
  const first = (/** @type {Citation} */ one) => (one.name.toLowerCase().startsWith(wanted) ? 0 : 1);
  return found.flat().sort((one, other) => first(one) - first(other));
}

/** The records that an address asks to be cited. @param {string} code @param {{ type: string, id: string }[]} wanted @param {AbortSignal} signal */
export async function named(code, wanted, signal) {
  return Promise.all(wanted.map(async ({ type, id }) => {
    const kind = /** @type {Kind} */ (KINDS.find((one) => one.type === type));
    return cited(kind, await record(code, kind.collection, id, signal));
  }));
}

/** @param {Kind} kind @param {import("../model/types.js").Row} row */
function cited(kind, row) {
  const hint = kind.told.map((name) => String(row[name] ?? "")).filter(Boolean).join(", ");
  return { type: kind.type, id: row.id, name: String(row[kind.name]), note: "", hint: hint.length > 90 ? `${hint.slice(0, 88)} …` : hint };
}

/** Interpretations that have to do with a record. @param {string} code @param {string} id @param {AbortSignal} signal */
export async function concerning(code, id, signal) {
  const query = { concerns: id, page_size: LISTED, fields: "id,number,state,discipline,statement,created_by,subject,subject_name" };
  return /** @type {Interpretation[]} */ (/** @type {unknown} */ ((await page(code, "interpretations", query, signal)).results));
}
