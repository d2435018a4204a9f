/** One project at a glance: its spaces, what changed lately, and what cannot all be true of its years. */

import { isStop } from "../api/http.js";
import { all, changes, project as readProject } from "../api/records.js";
import { ask, chart, dating } from "../api/work.js";
import { path, withQuery } from "../lib/paths.js";
import { ago, count, moment, number } from "../lib/words.js";
import { acts, register, summary } from "../model/changes.js";
import { mayWrite } from "../model/roles.js";
import { outcome } from "../model/jobs.js";
import { button, h, link, refill, stateOf, time } from "./parts/dom.js";
import { busy, purpose, refusals, reportUnexpected } from "./parts/say.js";
import { table } from "./parts/table.js";
import { freshness, watch } from "./parts/watching.js";

/** @typedef {import("../model/types.js").Project} Project */
/** @typedef {import("../model/types.js").Space} Space */
/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").DateConflict} DateConflict */

// An import is one act of thousands of lines, so one reads back in steps until there are a few acts to tell.
const LATELY = 1000;
const STEPS = 3;
const ACTS_SHOWN = 12;

/** @type {import("./parts/visit.js").Screen} */
export async function projectScreen(visit) {
  const code = visit.params["code"] ?? "";
  const project = await readProject(code, visit.signal);
  if (project.role === "contractor") return forContractor(project);
  /** @type {Space[]} */
  const spaces = await all(code, "spaces", {}, visit.signal);
  return {
    title: project.name,
    project,
    here: "overview",
    body: [
      purpose("The whole structure at a glance: what is recorded in each space, how far it is correlated, and what the team has done lately."),
      project.summary ? h("p", { class: "summary" }, project.summary) : null,
      freshness(visit, code, project.cursor),
      deeds(visit, project, spaces),
      h("section", { "aria-labelledby": "spaces" }, h("h2", { id: "spaces" }, "Spaces"), totals(spaces), spacesTable(visit, code, spaces)),
      conflictsOfDate(visit, code),
      lately(visit, project),
    ],
  };
}

/** @param {Project} project */
function forContractor(project) {
  return {
    title: project.name,
    project,
    here: "overview",
    body: [
      purpose("What you are to paint, as it was issued to you."),
      h("p", null, "Once a finish schedule has been issued to you, you will see it here: space by space and element by element, the finish to reproduce. None has been issued yet."),
      h("p", null, "Of the record itself a contractor sees nothing. If you should see more, ask a coordinator of the project."),
    ],
  };
}

/** @param {Visit} visit @param {Project} project @param {Space[]} spaces */
function deeds(visit, project, spaces) {
  const place = h("div");
  const problem = refusals();
  const result = h("div", { class: "result" });
  const correlate = button("Correlate all", () => busy(correlate, problem, async () => {
    const job = await ask(project.code, "correlate");
    refill(place, watch(visit, project.code, job, (ended) => {
      if (ended.state === "done") refill(result, h("p", { class: "box" }, outcome(ended), " ", button("Show the spaces anew", visit.reload)));
    }));
  }), { class: "main" });
  const registers = button("Export registers", () => busy(registers, problem, async () => {
    const job = await ask(project.code, "registers");
    refill(result);
    refill(place, watch(visit, project.code, job, (ended) => ended.state === "done" && place.querySelector("a")?.focus()));
  }));
  const writes = mayWrite(project.role) && spaces.length > 0;
  return h("div", { class: "deeds" }, h("p", { class: "buttons" }, writes && correlate, registers), problem.place, place, result);
}

/** @param {Space[]} spaces */
function totals(spaces) {
  const sum = (/** @type {"element_count" | "sample_count" | "layer_count" | "generation_count"} */ name) =>
    spaces.reduce((total, one) => total + one[name], 0);
  return h("p", null, [
    count(spaces.length, "space"), count(sum("element_count"), "element"), count(sum("sample_count"), "sample"),
    count(sum("layer_count"), "layer"), count(sum("generation_count"), "generation"),
  ].join(", "), ".");
}

/** @param {Visit} visit @param {string} code @param {Space[]} spaces */
function spacesTable(visit, code, spaces) {
  /** @type {[Space, HTMLElement][]} */
  const unsure = [];
  const rows = spaces.map((space) => {
    const standing = h("span", { class: "standing" });
    if (space.layer_count === 0) standing.textContent = "no layers yet";
    else if (!space.correlated_at) refill(standing, stateOf({ mark: "○", word: "not correlated" }));
    else unsure.push([space, standing]);
    return [
      link(path("projects", code, "spaces", space.number), space.number), space.name, space.storey, space.kind,
      number(space.element_count), number(space.sample_count), number(space.layer_count), number(space.generation_count), standing,
    ];
  });
  askWhetherCurrent(visit, code, unsure).catch((error) => !isStop(error) && reportUnexpected(error));
  return table("Spaces", ["Number", "Name", "Storey", "Kind", "Elements", "Samples", "Layers", "Generations", "Correlated"], rows, {
    numeric: [4, 5, 6, 7], empty: "There are no spaces yet. Import a workbook, or add one in the register of spaces.",
  });
}

/** One after the other: each answer costs the service a whole chart. @param {Visit} visit @param {string} code @param {[Space, HTMLElement][]} unsure */
async function askWhetherCurrent(visit, code, unsure) {
  for (const [space, place] of unsure) {
    const when = space.correlated_at ?? "";
    refill(place, time(when, ago(when, Date.now()), moment(when)));
  }
  for (const [space, place] of unsure) {
    const { current } = await chart(code, space.id, visit.signal);
    const when = space.correlated_at ?? "";
    const state = current ? { mark: "●", word: "up to date" } : { mark: "◑", word: "out of date" };
    refill(place, stateOf(state), ", ", time(when, ago(when, Date.now()), moment(when)));
  }
}

/** @param {Visit} visit @param {string} code */
function conflictsOfDate(visit, code) {
  const place = h("div", null, h("p", null, "Working out what the record says of the years …"));
  dating(code, visit.signal).then(({ conflicts }) => {
    refill(place, conflicts.length === 0
      ? h("p", null, "Nothing that is recorded contradicts anything else about the years.")
      : h("ul", { class: "conflicts" }, conflicts.map((one) => conflictItem(code, one))));
  }).catch((error) => {
    if (isStop(error)) return;
    const problem = refusals();
    refill(place, problem.place);
    problem.show(error);
  });
  return h("section", { "aria-labelledby": "conflicts" }, h("h2", { id: "conflicts" }, "Conflicts of date"), place);
}

/** @param {string} code @param {DateConflict} conflict */
function conflictItem(code, conflict) {
  const records = conflict.records.map((one, index) => [index > 0 ? ", " : "", recordLink(code, one)]);
  return h("li", null, h("p", null, conflict.sentence), records.length > 0 && h("p", { class: "records" }, "Records: ", records.flat()));
}

/** @param {string} code @param {{ kind: string, key: string, id: string | null }} one */
function recordLink(code, one) {
  const name = `${one.kind} ${one.key}`;
  const collection = register(one.kind === "material" ? "layer" : one.kind);
  if (one.id && collection) return link(path("projects", code, "registers", collection, one.id), name);
  if (one.kind === "generation" || one.kind === "order") return link(path("projects", code, "spaces", one.key.split("/")[0] ?? ""), name);
  if (one.kind === "material") {
    const layer = one.key.split(" ")[0] ?? "";
    return link(withQuery(path("projects", code, "registers", "layers"), { search: layer }), name);
  }
  return name;
}

/** @param {Visit} visit @param {Project} project */
function lately(visit, project) {
  const place = h("div", null, h("p", null, "Reading the history …"));
  recent(visit, project).then(({ lines, from }) => {
    const told = acts(lines);
    const first = told.at(-1);
    const cut = (/** @type {typeof first} */ one) => from > 0 && one === first;
    told.splice(ACTS_SHOWN);
    refill(place, told.length === 0
      ? h("p", null, "Nothing has been written yet.")
      : h("ol", { class: "changes" }, told.map((one) => h("li", null,
          time(one.at, ago(one.at, Date.now()), moment(one.at)), ` ${one.actor} ${cut(one) ? "(among more) " : ""}${summary(one.lines)}`, one.reason && h("span", { class: "reason" }, ` – ${one.reason}`)))));
  }).catch((error) => !isStop(error) && reportUnexpected(error));
  return h("section", { "aria-labelledby": "changes" }, h("h2", { id: "changes" }, "Recent changes"), place);
}

/** @param {Visit} visit @param {Project} project */
async function recent(visit, project) {
  /** @type {import("../model/types.js").Change[]} */
  let lines = [];
  let from = project.cursor ?? 0;
  for (let step = 0; step < STEPS && from > 0 && acts(lines).length <= ACTS_SHOWN; step += 1) {
    const before = Math.max(0, from - LATELY);
    const found = await changes(project.code, before, visit.signal, { limit: Math.max(1, from - before) });
    lines = [...found.changes, ...lines];
    from = before;
  }
  return { lines, from };
}
