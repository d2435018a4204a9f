/** What is missing, and what about the years cannot all be true. */

import { path, withQuery } from "../../lib/paths.js";
import { number } from "../../lib/words.js";
import { register } from "../../model/changes.js";
import { addressOf, inShort, kindOf, targetOf } from "../../model/standing.js";
import { h, link, stateOf } from "../parts/dom.js";

/** @typedef {import("../../model/standing.js").Coverage} Coverage */
/** @typedef {import("../../model/standing.js").Gap} Gap */
/** @typedef {import("../../model/types.js").DateConflict} DateConflict */

const SHOWN = 10;
/** What a ruling or an examination might settle. */
const DOUBTS = ["weak joint", "low confidence"];

/** @param {string} code @param {Coverage} coverage */
export function missing(code, { missing: gaps, conflicts }) {
  if (gaps.length === 0) return h("p", null, "Nothing that can be told from the record: every class is sampled, examined, correlated and confirmed.");
  const items = gaps.map((gap) => item(code, gap, conflicts));
  return h("div", null,
    h("p", { class: "hint" }, "Most to be gained first, reckoned in layers that would come to be known, or known better."),
    h("ol", { class: "missing" }, items.slice(0, SHOWN)),
    items.length > SHOWN && h("details", null, h("summary", null, `${number(items.length - SHOWN)} more`), h("ol", { class: "missing", start: SHOWN + 1 }, items.slice(SHOWN))));
}

/** @param {string} code @param {Gap} gap @param {DateConflict[]} conflicts */
function item(code, gap, conflicts) {
  const base = path("projects", code);
  const target = targetOf(gap);
  const conflict = gap.kind === "conflict" ? conflicts.find((one) => one.sentence === gap.sentence) : undefined;
  return h("li", null, stateOf(kindOf(gap.kind)), " – ", conflict ? inShort(conflict) : gap.sentence, " ", h("span", { class: "reason" }, gap.reason), " ",
    conflict ? yearsLink(code, conflict, "On the axis") : link(target ? addressOf(base, target) : path("projects", code, "spaces", gap.space), target ? `Its ${target.collection}` : `Chart of space ${gap.space}`),
    DOUBTS.includes(gap.kind) && [" · ", link(withQuery(path("projects", code, "spaces", gap.space), { looking: "yes" }), `Where to look next in space ${gap.space}`)]);
}

/** The conflict on the axis of years. @param {string} code @param {DateConflict} conflict @param {string} text */
function yearsLink(code, conflict, text) {
  const spaces = [...new Set(conflict.generations.map((one) => one.slice(0, one.lastIndexOf("/"))))];
  return link(withQuery(path("projects", code, "years"), { spaces: spaces.join(","), at: conflict.generations[0] }), text);
}

/** @param {string} code @param {readonly DateConflict[]} conflicts */
export function conflictList(code, conflicts) {
  if (conflicts.length === 0) return h("p", null, "Nothing that is recorded contradicts anything else about the years.");
  return h("ul", { class: "conflicts" }, conflicts.map((one) => conflictItem(code, one)));
}

/** @param {string} code @param {DateConflict} conflict */
function conflictItem(code, conflict) {
  const records = conflict.records.map((one, index) => [index > 0 ? ", " : "", recordLink(code, one)]);
  return h("li", null, h("p", null, h("span", { class: "mark", "aria-hidden": "true" }, "▲"), " ", conflict.sentence),
    h("p", { class: "records" }, records.length > 0 && ["Records: ", ...records.flat(), " · "], yearsLink(code, conflict, "On the axis of years")));
}

/** @param {string} code @param {{ kind: string, key: string, id?: string | null }} one */
export function recordLink(code, one) {
  const name = `${one.kind} ${one.key}`;
  const collection = register(one.kind === "material" ? "layer" : one.kind);
  if (one.id && collection) return link(path("projects", code, "registers", collection, one.id), name);
  if (one.kind === "generation" || one.kind === "order") return link(path("projects", code, "spaces", one.key.split("/")[0] ?? ""), name);
  if (one.kind === "material") return link(withQuery(path("projects", code, "registers", "layers"), { "where.name": `=${one.key.split(" ")[0] ?? ""}` }), name);
  return name;
}
