/** Pictures and documents on records: their files, scale, colours, registrations, lines, and what was read along these. */

import { address, all, changes, page } from "./records.js";
import { patch, post, read, remove } from "./http.js";

/** @typedef {import("../model/pictures/types.js").Attachment} Attachment */
/** @typedef {import("../model/pictures/types.js").Lines} Lines */
/** @typedef {import("../model/pictures/types.js").Microscope} Microscope */
/** @typedef {import("../model/pictures/types.js").Profile} Profile */
/** @typedef {import("../model/pictures/types.js").Registration} Registration */
/** @typedef {import("../model/pictures/types.js").Target} Target */
/** @typedef {import("../model/pictures/types.js").Tiles} Tiles */
/** @typedef {import("../model/pictures/types.js").Traverse} Traverse */
/** @typedef {import("../model/types.js").Row} Row */
/** @typedef {{ id: string, version: number }} Versioned */

/** All pictures of a sample and of its layers. @param {string} code @param {string} sample @param {AbortSignal} [signal] @returns {Promise<Attachment[]>} */
export function picturesOfSample(code, sample, signal) {
  return all(code, "attachments", { sample }, signal);
}

/** @param {string} code @param {string} type @param {string} id @param {AbortSignal} [signal] @returns {Promise<Attachment[]>} */
export function attachmentsOf(code, type, id, signal) {
  return all(code, "attachments", { about_type: type, about_id: id }, signal);
}

/** @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<Attachment>} */
export function attachment(code, id, signal) {
  return read(address(code, "attachments", id), signal);
}

/** @param {string} code @param {Record<string, unknown>} values @returns {Promise<Attachment>} */
export function attach(code, values) {
  return post(address(code, "attachments"), values);
}

/** @param {string} code @param {Versioned} one @param {Record<string, unknown>} values @returns {Promise<Attachment>} */
export function changeAttachment(code, one, values) {
  return patch(address(code, "attachments", one.id), one.version, values);
}

/** @param {string} code @param {Versioned} one @returns {Promise<null>} */
export function removeAttachment(code, one) {
  return remove(address(code, "attachments", one.id), one.version);
}

/** Where the file is fetched as it came. @param {string} code @param {string} id */
export function originalAddress(code, id) {
  return address(code, "attachments", id, "original");
}

/** The sizes of a picture, and where the tiles of each are. @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<Tiles>} */
export function tilesOf(code, id, signal) {
  return read(address(code, "attachments", id, "tiles"), signal);
}

/** @param {string} code @param {AbortSignal} [signal] @returns {Promise<Microscope[]>} */
export function microscopes(code, signal) {
  return all(code, "microscopes", {}, signal);
}

/** @param {string} code @param {AbortSignal} [signal] @returns {Promise<Target[]>} */
export async function targets(code, signal) {
  const found = await read(address(code, "targets"), signal);
  return Array.isArray(found) ? found : found.results;
}

/** The registrations in which a picture takes part. @param {string} code @param {readonly string[]} pictures @param {AbortSignal} [signal] @returns {Promise<Registration[]>} */
export async function registrations(code, pictures, signal) {
  return (await Promise.all(pictures.map((id) => /** @type {Promise<Registration[]>} */ (all(code, "registrations", { fixed: id }, signal))))).flat();
}

/** @param {string} code @param {Versioned} one */
export function removeRegistration(code, one) {
  return remove(address(code, "registrations", one.id), one.version);
}

/** @param {string} code @param {string} sample @param {AbortSignal} [signal] @returns {Promise<Traverse[]>} */
export function traversesOfSample(code, sample, signal) {
  return all(code, "traverses", { sample }, signal);
}

/** @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<Traverse>} */
export function traverse(code, id, signal) {
  return read(address(code, "traverses", id), signal);
}

/** @param {string} code @param {Record<string, unknown>} values @returns {Promise<Traverse>} */
export function drawTraverse(code, values) {
  return post(address(code, "traverses"), values);
}

/** @param {string} code @param {Versioned} one @param {Record<string, unknown>} values @returns {Promise<Traverse>} */
export function changeTraverse(code, one, values) {
  return patch(address(code, "traverses", one.id), one.version, values);
}

/** @param {string} code @param {Versioned} one */
export function removeTraverse(code, one) {
  return remove(address(code, "traverses", one.id), one.version);
}

/** @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<Profile>} */
export function profile(code, id, signal) {
  return read(address(code, "traverses", id, "profile"), signal);
}

/** The lines of a sample as one stack. @param {string} code @param {string} sample @param {AbortSignal} [signal] @returns {Promise<Lines>} */
export function lines(code, sample, signal) {
  return read(address(code, "samples", sample, "lines"), signal);
}

/** Take what was read along a line into the record, in one act. @param {string} code @param {string} sample @param {Record<string, unknown>} values @returns {Promise<{ layers: Row[], measurements: Row[] }>} */
export function accept(code, sample, values) {
  return post(address(code, "samples", sample, "lines", "accept"), values);
}

/** All that befell a line, oldest first, with the values themselves. @param {string} code @param {string} id @param {AbortSignal} [signal] */
export async function historyOf(code, id, signal) {
  /** @type {import("../model/types.js").Change[]} */
  const found = [];
  for (let after = 0, more = true; more;) {
    const one = await changes(code, after, signal, { record_id: id, limit: 1000 });
    found.push(...one.changes);
    [after, more] = [one.cursor, one.more];
  }
  return found;
}

/** What was taken from a line into the record. @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<Row[]>} */
export function measurementsAlong(code, id, signal) {
  return all(code, "measurements", { traverse: id }, signal);
}

/** What lines read of a layer. @param {string} code @param {string} layer @param {AbortSignal} [signal] */
export async function measurementsOf(code, layer, signal) {
  return (await page(code, "measurements", { layer, page_size: 100 }, signal)).results;
}
