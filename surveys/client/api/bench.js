/** What the bench asks of the interface: one sample with its layers, its neighbours in the space, colours by L*a*b*. */

import { withQuery } from "../lib/paths.js";
import { Problem } from "../model/problems.js";
import { ROOT, read } from "./http.js";
import { all, page, record } from "./records.js";

/** @typedef {import("../model/types.js").Row} Row */
/** @typedef {import("./sheets.js").Colour} Colour */
/** @typedef {{ id: string, number: string, status: string, examined_visible_on: string | null }} Neighbour */

/** The sample of that number; without one the first. @param {string} code @param {string} number @param {AbortSignal} [signal] @returns {Promise<Row | null>} */
export async function sampleCalled(code, number, signal) {
  const found = (await page(code, "samples", number ? { number, page_size: 1 } : { ordering: "number", page_size: 1 }, signal)).results[0] ?? null;
  if (!found && number) throw new Problem(404, "not-found", `There is no sample ${number} in ${code}.`);
  return found;
}

/** @param {string} code @param {string} sample @param {AbortSignal} [signal] @returns {Promise<[Row, Row[]]>} */
export function sampleWithLayers(code, sample, signal) {
  return Promise.all([record(code, "samples", sample, signal), all(code, "layers", { sample, ordering: "position" }, signal)]);
}

/** @param {string} code @param {string} space @param {AbortSignal} [signal] @returns {Promise<Neighbour[]>} */
export function samplesOfSpace(code, space, signal) {
  return all(code, "samples", { space, fields: "id,number,status,examined_visible_on" }, signal);
}

/** The spaces of a project in their order. @param {string} code @param {AbortSignal} [signal] @returns {Promise<{ id: string, sample_count: number }[]>} */
export function spacesInOrder(code, signal) {
  return all(code, "spaces", { fields: "id,number,sample_count" }, signal);
}

/** Colours by triples written 'L a b'. @param {readonly string[]} triples @param {AbortSignal} [signal] @returns {Promise<Colour[]>} */
export async function coloursOfLab(triples, signal) {
  const lab = triples.map((one) => one.split(" ").join(",")).join(";");
  return (await read(withQuery(`${ROOT}/colours`, { lab }), signal)).results;
}
