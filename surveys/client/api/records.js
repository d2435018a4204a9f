/** Projects and the records of their collections. */

import { path, withQuery } from "../lib/paths.js";
import { Problem } from "../model/problems.js";
import { ROOT, patch, post, read, remove } from "./http.js";

/** @typedef {import("../model/types.js").Row} Row */
/** @typedef {import("../model/types.js").Project} Project */
/** @typedef {import("../model/types.js").Space} Space */
/** @typedef {import("../model/types.js").Change} Change */
/** @typedef {import("../model/types.js").Member} Member */
/** @typedef {Record<string, string | number | null | undefined>} Query */
/**
 * @template T
 * @typedef {{ results: T[], cursor: string | null, count?: number }} Page
 */

const MOST = 1000;

/** @param {string} code @param {...string} steps */
export function address(code, ...steps) {
  return `${ROOT}${path("projects", code, ...steps)}`;
}

/** @param {AbortSignal} signal @returns {Promise<Project[]>} */
export async function projects(signal) {
  return (await read(withQuery(`${ROOT}/projects`, { page_size: MOST }), signal)).results;
}

/** @param {string} code @param {AbortSignal} signal @returns {Promise<Project>} */
export function project(code, signal) {
  return read(address(code), signal);
}

/** @param {Record<string, unknown>} values @returns {Promise<Project>} */
export function beginProject(values) {
  return post(`${ROOT}/projects`, values);
}

/** @param {string} code @param {number} version @param {Record<string, unknown>} values @returns {Promise<Project>} */
export function changeProject(code, version, values) {
  return patch(address(code), version, values);
}

/**
 * One page of a collection.
 * @template [T=Row]
 * @param {string} code
 * @param {string} collection
 * @param {Query} query
 * @param {AbortSignal} [signal]
 * @returns {Promise<Page<T>>}
 */
export function page(code, collection, query, signal) {
  return read(withQuery(address(code, collection), query), signal);
}

/**
 * All of a collection, however many pages that takes.
 * @template [T=Row]
 * @param {string} code
 * @param {string} collection
 * @param {Query} query
 * @param {AbortSignal} [signal]
 * @returns {Promise<T[]>}
 */
export async function all(code, collection, query, signal) {
  /** @type {T[]} */
  const found = [];
  /** @type {string | null} */
  let cursor = null;
  do {
    /** @type {Page<T>} */
    const one = await page(code, collection, { ...query, page_size: MOST, cursor }, signal);
    found.push(...one.results);
    cursor = one.cursor;
  } while (cursor);
  return found;
}

/**
 * @template [T=Row]
 * @param {string} code @param {string} collection @param {string} id @param {AbortSignal} [signal] @returns {Promise<T>}
 */
export function record(code, collection, id, signal) {
  return read(address(code, collection, id), signal);
}

/** @param {string} code @param {string} number @param {AbortSignal} signal @returns {Promise<Space>} */
export async function space(code, number, signal) {
  /** @type {Page<Space>} */
  const found = await page(code, "spaces", { number }, signal);
  if (!found.results[0]) throw new Problem(404, "not-found", `There is no space ${number} in ${code}.`);
  return found.results[0];
}

/** @param {string} code @param {string} collection @param {Record<string, unknown>} values @returns {Promise<Row>} */
export function create(code, collection, values) {
  return post(address(code, collection), values);
}

/** @param {string} code @param {string} collection @param {Row} row @param {Record<string, unknown>} values @returns {Promise<Row>} */
export function change(code, collection, row, values) {
  return patch(address(code, collection, row.id), row.version, values);
}

/** @param {string} code @param {string} collection @param {{ id: string, version: number }} row @returns {Promise<null>} */
export function withdraw(code, collection, row) {
  return remove(address(code, collection, row.id), row.version);
}

/**
 * The id of the record of that human name; null where there is none.
 * @param {string} code @param {string} collection @param {string} field @param {string} name @returns {Promise<string | null>}
 */
export async function idOf(code, collection, field, name) {
  try {
    return (await page(code, collection, { [field]: name, fields: "id" })).results[0]?.id ?? null;
  } catch (error) {
    // A number that cannot be one is the name of nothing.
    if (error instanceof Problem && error.status === 400) return null;
    throw error;
  }
}

/**
 * What changed after a cursor, oldest first.
 * @param {string} code @param {number} after @param {AbortSignal} [signal] @param {Query} [more]
 * @returns {Promise<{ changes: Change[], cursor: number, more: boolean }>}
 */
export function changes(code, after, signal, more = {}) {
  return read(withQuery(address(code, "changes"), { after, ...more }), signal);
}

/** @type {Promise<Record<string, string[]>> | null} */
let words = null;

/** The closed lists, asked for once. @returns {Promise<Record<string, string[]>>} */
export function vocabulary() {
  words ??= read(`${ROOT}/vocabulary`).catch((error) => {
    words = null;
    throw error;
  });
  return words;
}
