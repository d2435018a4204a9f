/** Who is signed in, and his tokens. */

import { ROOT, post, read, remove } from "./http.js";

/** @typedef {import("../model/types.js").Person} Person */
/** @typedef {import("../model/types.js").Token} Token */

/** @param {AbortSignal} [signal] @returns {Promise<Person>} */
export function whoAmI(signal) {
  return read(`${ROOT}/session`, signal);
}

/** @param {string} username @param {string} password @returns {Promise<Person>} */
export function signIn(username, password) {
  return post(`${ROOT}/session`, { username, password });
}

/** @returns {Promise<null>} */
export function signOut() {
  return remove(`${ROOT}/session`);
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
