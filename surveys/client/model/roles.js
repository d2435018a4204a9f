/** What a role lets one do, so that the client offers nothing that would be refused. The service decides; this is only for show. */

/** @typedef {import("./types.js").Role} Role */

/** @param {Role} role */
export function maySee(role) {
  return role !== "contractor";
}

/** @param {Role} role */
export function mayWrite(role) {
  return role === "coordinator" || role === "consultant";
}

/** @param {Role} role */
export function mayManage(role) {
  return role === "coordinator";
}

/** To comment, ask and answer. @param {Role} role */
export function mayTalk(role) {
  return role !== "contractor";
}

/** To review interpretations. @param {Role} role */
export function mayReview(role) {
  return role !== "contractor";
}
