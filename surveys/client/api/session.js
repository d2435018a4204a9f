/** Who is signed in, where, and his tokens. */

import { ROOT, post, read, remove } from "./http.js";

/** @typedef {import("../model/types.js").Person} Person */
/** @typedef {import("../model/sessions.js").Session} Session */
/** @typedef {import("../model/types.js").Token} Token */

/** @param {AbortSignal} [signal] @returns {Promise<Person>} */
export function whoAmI(signal) {
  return read(`${ROOT}/session`, signal);
}

/** @param {string} username @param {string} password @param {string} code '' where none was asked for @returns {Promise<Person>} */
export function signIn(username, password, code) {
  return post(`${ROOT}/session`, { username, password, ...(code ? { code } : {}) });
}

/** @returns {Promise<null>} */
export function signOut() {
  return remove(`${ROOT}/session`);
}

/** @param {AbortSignal} signal @returns {Promise<Session[]>} */
export async function sessions(signal) {
  return (await read(`${ROOT}/me/sessions`, signal)).results;
}

/** @param {string} id @param {string} password @returns {Promise<null>} */
export function endSession(id, password) {
  return post(`${ROOT}/me/sessions/${id}/end`, { password });
}

/** End all but the present one. @param {string} password @returns {Promise<{ ended: number }>} */
export function endOthers(password) {
  return post(`${ROOT}/me/sessions/end-others`, { password });
}

/** @param {AbortSignal} signal @returns {Promise<Token[]>} */
export async function tokens(signal) {
  return (await read(`${ROOT}/tokens`, signal)).results;
}

/** @param {string} label @returns {Promise<Token>} */
export function makeToken(label) {
  return post(`${ROOT}/tokens`, { label });
}

/** @param {string} id @returns {Promise<null>} */
export function revokeToken(id) {
  return remove(`${ROOT}/tokens/${id}`);
}
