/** Records in a few words. */

import { percent, placement } from "./confidence.js";

/** @typedef {import("./types.js").Row} Row */

/**
 * What evidence bears on: 'element 101-BB'.
 * @param {Record<string, unknown>} row
 */
export function bearsOn(row) {
  const kind = String(row["bears_on"] ?? "");
  const name = { phase: row["phase_ordinal"], space: row["space_number"], element: row["element_code"], generation: row["generation_ordinal"] }[kind];
  return name === null || name === undefined ? kind : `${kind} ${name}`;
}

/**
 * Where a layer was placed, by whom, how surely, and where it would belong otherwise.
 * @param {Record<string, unknown>} row
 */
export function placed(row) {
  if (row["generation_ordinal"] === null || row["generation_ordinal"] === undefined) return "placed in no generation yet.";
  const told = `generation ${row["generation_ordinal"]}`;
  if (row["placed_by"] === "by hand") return `${told}, held there by a ruling.`;
  const sure = /** @type {number | null} */ (row["confidence"] ?? null);
  const other = row["runner_up_ordinal"] ? `; otherwise generation ${row["runner_up_ordinal"]}, ${percent(/** @type {number | null} */ (row["runner_up_confidence"] ?? null))}` : "";
  return `${told}, ${placement(sure)} (${percent(sure)})${other}.`;
}
