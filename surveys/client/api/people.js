/** Invitations, leaving, handing over; passwords and one's own account. */

import { all } from "./records.js";
import { ROOT, patch, post, read, remove } from "./http.js";
import { path } from "../lib/paths.js";

/** @typedef {import("../model/types.js").Person} Person */
/** @typedef {import("../model/people.js").Invitation} Invitation */
/** @typedef {import("../model/people.js").Leaving} Leaving */
/** @typedef {import("../model/people.js").Offer} Offer */

/** @param {string} code @param {...string} steps */
function address(code, ...steps) {
  return `${ROOT}${path("projects", code, ...steps)}`;
}

/** @param {string} code @param {AbortSignal} signal @returns {Promise<Invitation[]>} */
export function invitations(code, signal) {
  return all(code, "invitations", {}, signal);
}

/** @param {string} code @param {Record<string, unknown>} values @returns {Promise<Invitation & { link: string, mailed: boolean }>} */
export function invite(code, values) {
  return post(address(code, "invitations"), values);
}

/** @param {string} code @param {Invitation} invitation @returns {Promise<null>} */
export function revoke(code, invitation) {
  return remove(address(code, "invitations", invitation.id), invitation.version);
}

/** What a link offers. @param {string} secret @returns {Promise<Offer>} */
export function look(secret) {
  return post(`${ROOT}/invitations/look`, { secret });
}

/** @param {string} secret @param {Record<string, unknown>} account nothing from who is signed in @returns {Promise<{ person: Person, project: string }>} */
export function accept(secret, account) {
  return post(`${ROOT}/invitations/accept`, { secret, ...account });
}

/** What a member leaves behind; without an id, oneself. @param {string} code @param {string | null} id @param {AbortSignal} [signal] @returns {Promise<Leaving>} */
export function leaving(code, id, signal) {
  return read(id ? address(code, "members", id, "leaving") : address(code, "leaving"), signal);
}

/** @param {string} code @param {string | null} id @param {{ questions_to?: string, reviews_to?: string }} heirs @returns {Promise<null>} */
export function leave(code, id, heirs) {
  return post(id ? address(code, "members", id, "leaving") : address(code, "leaving"), heirs);
}

/** @param {string} code @param {string} to @param {string} role @returns {Promise<unknown>} */
export function handOver(code, to, role) {
  return post(address(code, "handing-over"), { to, role });
}

/** @param {string} password @param {string} wanted @returns {Promise<null>} */
export function changePassword(password, wanted) {
  return post(`${ROOT}/me/password`, { password, new_password: wanted });
}

/** @param {string} password @param {string} email @returns {Promise<Person>} */
export function changeEmail(password, email) {
  return post(`${ROOT}/me/email`, { password, email });
}

/** @param {boolean} daily @returns {Promise<Person>} */
export function wishDigest(daily) {
  return patch(`${ROOT}/me`, null, { daily_digest: daily });
}

/** @param {string} email @returns {Promise<{ detail: string }>} */
export function askReset(email) {
  return post(`${ROOT}/password-resets`, { email });
}

/** @param {string} secret @param {string} password @returns {Promise<null>} */
export function useReset(secret, password) {
  return post(`${ROOT}/password-resets/use`, { secret, password });
}
