/** What each discipline did lately. */

import { isStop } from "../../api/http.js";
import { all, changes, vocabulary } from "../../api/records.js";
import { path } from "../../lib/paths.js";
import { ago, capital, moment } from "../../lib/words.js";
import { acts, summary } from "../../model/changes.js";
import { addressOf, byDiscipline, recordsOf } from "../../model/standing.js";
import { h, link, refill, time } from "../parts/dom.js";
import { reportUnexpected } from "../parts/say.js";

/** @typedef {import("../../model/types.js").Project} Project */
/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/standing.js").Act} Act */

// An import is one act of thousands of lines, so one reads back in steps until there are a few acts to tell.
const LATELY = 1000;
const STEPS = 3;
const ENOUGH = 24;
const SHOWN = 5;

/** @param {Visit} visit @param {Project} project */
export function lately(visit, project) {
  const place = h("div", null, h("p", null, "Reading the history …"));
  show(visit, project, place).catch((error) => !isStop(error) && reportUnexpected(error));
  return h("section", { "aria-labelledby": "changes" }, h("h2", { id: "changes" }, "Lately, by discipline"), place);
}

/** @param {Visit} visit @param {Project} project @param {HTMLElement} place */
async function show(visit, project, place) {
  const [{ lines, from }, members, words] = await Promise.all([recent(visit, project), membersOf(project, visit), vocabulary()]);
  const told = acts(lines);
  if (told.length === 0) {
    refill(place, h("p", null, "Nothing has been written yet."));
    return;
  }
  const first = from > 0 ? told.at(-1) : null;
  refill(place, byDiscipline(told, members, words["disciplines"] ?? []).map((group) => {
    const items = group.acts.map((one) => item(project.code, one, one === first));
    return h("section", { class: "discipline" }, h("h3", null, capital(group.discipline)), h("ol", { class: "changes" }, items.slice(0, SHOWN)),
      items.length > SHOWN && h("details", null, h("summary", null, `${items.length - SHOWN} earlier`), h("ol", { class: "changes" }, items.slice(SHOWN))));
  }));
}

/** @param {Project} project @param {Visit} visit @returns {Promise<import("../../model/types.js").Member[]>} */
function membersOf(project, visit) {
  return all(project.code, "members", {}, visit.signal);
}

/** @param {string} code @param {Act} one @param {boolean} cut whether the act began before what was read */
function item(code, one, cut) {
  const records = recordsOf(one).flatMap(({ text, target }, index) => [index > 0 ? ", " : " – ", link(addressOf(path("projects", code), target), text)]);
  return h("li", null, time(one.at, ago(one.at, Date.now()), moment(one.at)), ` ${one.actor} ${cut ? "(among more) " : ""}${summary(one.lines)}`,
    one.reason && h("span", { class: "reason" }, ` (${one.reason.replace(/\.$/, "")})`), records);
}

/** @param {Visit} visit @param {Project} project */
async function recent(visit, project) {
  /** @type {import("../../model/types.js").Change[]} */
  let lines = [];
  let from = project.cursor ?? 0;
  for (let step = 0; step < STEPS && from > 0 && acts(lines).length <= ENOUGH; step += 1) {
    const before = Math.max(0, from - LATELY);
    const found = await changes(project.code, before, visit.signal, { limit: Math.max(1, from - before) });
    lines = [...found.changes, ...lines];
    from = before;
  }
  return { lines, from };
}
