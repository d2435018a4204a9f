/** A person's own named views of registers. */

import { withQuery } from "../lib/paths.js";
import { patch, post, read, remove } from "./http.js";
import { address } from "./records.js";

/** @typedef {import("../model/sheet/address.js").Arranged} Arranged */
/** @typedef {{ id: string, version: number, register: string, name: string, arrangement: Arranged }} SavedView */

/** @param {string} code @param {string} register @param {AbortSignal} signal @returns {Promise<SavedView[]>} */
export async function savedViews(code, register, signal) {
  return (await read(withQuery(address(code, "views"), { register }), signal)).results;
}

/** @param {string} code @param {string} register @param {string} name @param {Arranged} arrangement @returns {Promise<SavedView>} */
export function keepView(code, register, name, arrangement) {
  return post(address(code, "views"), { register, name, arrangement });
}

/** @param {string} code @param {SavedView} view @param {{ name?: string, arrangement?: Arranged }} values @returns {Promise<SavedView>} */
export function changeView(code, view, values) {
  return patch(address(code, "views", view.id), view.version, values);
}

/** @param {string} code @param {SavedView} view */
export function forgetView(code, view) {
  return remove(address(code, "views", view.id), view.version);
}
