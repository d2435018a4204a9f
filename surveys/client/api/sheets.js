/** What the grids ask of the interface: batches, rows by their ids, what is needed to name records, colours, who else is here. */

import { withQuery } from "../lib/paths.js";
import { parts } from "../model/sheet/remote.js";
import { ROOT, post, read } from "./http.js";
import { address, all, page } from "./records.js";

/** @typedef {import("../model/types.js").Row} Row */
/** @typedef {import("../model/sheet/outbox.js").Operation} Operation */
/** @typedef {import("../model/sheet/outbox.js").Outcome} Outcome */
/** @typedef {{ asked: string, munsell: string, lab: number[] | null, srgb: string | null, in_gamut: boolean, fault: string }} Colour */
/** @typedef {{ name: string, where: string }} Present */

/** How many ids stand in one address. */
const AT_ONCE = 100;

/** @param {string} code @param {string} collection @param {Operation[]} operations @param {string} key @returns {Promise<Outcome[]>} */
export async function sendBatch(code, collection, operations, key) {
  return (await post(address(code, collection, "batch"), { operations }, undefined, key)).outcomes;
}

/** @param {string} code @param {string} collection @param {readonly string[]} ids @param {string} fields @param {AbortSignal} signal @returns {Promise<Row[]>} */
export async function rowsOf(code, collection, ids, fields, signal) {
  const found = [];
  for (const some of parts(ids, AT_ONCE)) {
    found.push(...(await page(code, collection, { id__in: some.join(","), fields, page_size: AT_ONCE }, signal)).results);
  }
  return found;
}

/** Names and ids of a whole collection. @param {string} code @param {string} collection @param {string} human @param {AbortSignal} signal @returns {Promise<[string, string][]>} */
export async function names(code, collection, human, signal) {
  const rows = await all(code, collection, { fields: `id,${human}` }, signal);
  return rows.map((row) => [row.id, String(row[human])]);
}

const MEASURED = "L*a*b* ";

/** Colours of Munsell notations and of triples written 'L*a*b* 60 -8 24', in their order. @param {readonly string[]} asked @param {AbortSignal} [signal] @returns {Promise<Colour[]>} */
export async function coloursOf(asked, signal) {
  const [triples, notations] = [asked.filter((one) => one.startsWith(MEASURED)), asked.filter((one) => !one.startsWith(MEASURED))];
  const lab = triples.map((one) => one.slice(MEASURED.length).replaceAll(" ", ",")).join(";");
  const { results } = await read(withQuery(`${ROOT}/colours`, { notation: notations.join(","), lab }), signal);
  const found = new Map([...notations, ...triples].map((one, index) => [one, results[index]]));
  return asked.map((one) => found.get(one));
}

/** @param {string} code @param {string} where @param {AbortSignal} signal @returns {Promise<Present[]>} */
export async function present(code, where, signal) {
  return (await post(address(code, "presence"), { where }, signal)).present;
}

/** @param {string} code @param {string} act */
export function restore(code, act) {
  return post(address(code, "restorations"), { act });
}
