/** Standing: one project at a glance: what is covered and what is missing, what was done lately, what cannot all be true of its years. */

import { isStop } from "../api/http.js";
import { all, project as readProject } from "../api/records.js";
import { coverage as readCoverage } from "../api/results.js";
import { ask } from "../api/work.js";
import { path, withQuery } from "../lib/paths.js";
import { ago, count, moment, number } from "../lib/words.js";
import { outcome } from "../model/jobs.js";
import { mayWrite } from "../model/roles.js";
import { measureOf } from "../model/standing.js";
import { alsoTell } from "./help.js";
import { disputes } from "./findings/links.js";
import { leavingMyself } from "./members/leaving.js";
import { button, h, link, refill, stateOf, time } from "./parts/dom.js";
import { busy, purpose, refusals } from "./parts/say.js";
import { table } from "./parts/table.js";
import { freshness, watch } from "./parts/watching.js";
import { lately } from "./standing/lately.js";
import { matrix } from "./standing/matrix.js";
import { newsSection, openQuestions } from "./standing/news.js";
import { conflictList, missing } from "./standing/missing.js";

/** @typedef {import("../model/types.js").Project} Project */
/** @typedef {import("../model/types.js").Space} Space */
/** @typedef {import("../model/standing.js").Coverage} Coverage */
/** @typedef {import("./parts/visit.js").Visit} Visit */

/** @type {import("./parts/visit.js").Screen} */
export async function projectScreen(visit) {
  const code = visit.params["code"] ?? "";
  const project = await readProject(code, visit.signal);
  if (project.role === "contractor") return forContractor(visit, project);
  /** @type {Space[]} */
  const spaces = await all(code, "spaces", {}, visit.signal);
  const [covered, lacking, disputed] = [section("coverage", "Coverage"), section("missing", "What would add most"), section("conflicts", "Conflicts of date")];
  alsoTell("Standing", [["arrow keys", "from number to number in the table of coverage"], ["Enter", "open the records behind a number"]], visit.signal);
  const listed = h("div");
  const states = spacesTable(code, spaces);
  refill(listed, states.place);
  readCoverage(code, visit.signal).then((coverage) => {
    refill(covered.place, coverage.cells.length === 0
      ? h("p", { class: "empty" }, "There is no element yet, so nothing can be covered. Import a workbook, or begin in the register of elements.")
      : matrix(code, coverage, project.element_classes ?? [], measureOf(visit.query.get("show"))));
    refill(lacking.place, coverage.cells.length > 0 && missing(code, coverage));
    lacking.element.hidden = coverage.cells.length === 0;
    refill(disputed.place, !coverage.dating_current && coverage.conflicts.length > 0 && h("p", { class: "hint" }, "Worked out from the record as it is now."),
      conflictList(code, coverage.conflicts));
    states.tell(coverage);
  }).catch((error) => {
    if (isStop(error)) return;
    refill(covered.place, covered.problem.place);
    covered.problem.show(error);
    for (const one of [lacking, disputed]) one.element.hidden = true;
  });
  return {
    title: project.name,
    project,
    here: "overview",
    body: [
      purpose("Where the study stands: what is covered in each space, what would add most, what each discipline has found lately. Every number opens its records."),
      project.summary ? h("p", { class: "summary" }, project.summary) : null,
      freshness(visit, code, project.cursor),
      deeds(visit, project, spaces),
      newsSection(visit, project),
      covered.element, lacking.element, disputed.element,
      disputes(visit, project),
      openQuestions(visit, project),
      lately(visit, project),
      h("section", { "aria-labelledby": "spaces" }, h("h2", { id: "spaces" }, "Spaces"), totals(spaces), listed),
    ],
  };
}

/** @param {string} id @param {string} title */
function section(id, title) {
  const place = h("div", null, h("p", null, "Working out how far the study has come …"));
  return { place, problem: refusals(), element: h("section", { "aria-labelledby": id }, h("h2", { id }, title), place) };
}

/** @param {Visit} visit @param {Project} project */
function forContractor(visit, project) {
  return {
    title: project.name,
    project,
    here: "overview",
    body: [
      purpose("What you are to paint, as it was issued to you."),
      h("p", null, "Finish schedules that were issued are under ", link(path("projects", project.code, "schedules"), "Schedules"), ": space by space and element by element, the finish to reproduce."),
      h("p", null, "Of the record itself a contractor sees nothing. If you should see more, ask a coordinator of the project."),
      leavingMyself(visit, project.code, []),
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

/** @param {string} code @param {Space[]} spaces */
function spacesTable(code, spaces) {
  /** @type {Map<string, HTMLElement>} */
  const unsure = new Map();
  const rows = spaces.map((space) => {
    const standing = h("span", { class: "standing" });
    if (space.layer_count === 0) standing.textContent = "no layers yet";
    else if (!space.correlated_at) refill(standing, stateOf({ mark: "○", word: "not correlated" }));
    else {
      unsure.set(space.id, standing);
      refill(standing, when(space));
    }
    return [
      link(path("projects", code, "spaces", space.number), space.number), space.name, space.storey, space.kind,
      ...(/** @type {const} */ (["element", "sample", "layer", "generation"])).map((one) => counted(code, `${one}s`, space, space[`${one}_count`])), standing,
    ];
  });
  const place = table("Spaces", ["Number", "Name", "Storey", "Kind", "Elements", "Samples", "Layers", "Generations", "Correlated"], rows, {
    numeric: [4, 5, 6, 7], empty: "There are no spaces yet. Import a workbook, or add one in the register of spaces.",
  });
  return {
    place,
    /** @param {Coverage} coverage */
    tell(coverage) {
      const current = new Map(coverage.spaces.map((one) => [one.id, one.current]));
      for (const space of spaces) {
        const shown = unsure.get(space.id);
        if (shown) refill(shown, stateOf(current.get(space.id) ? { mark: "●", word: "up to date" } : { mark: "◑", word: "out of date" }), ", ", when(space));
      }
    },
  };
}

/** @param {Space} space */
function when(space) {
  const at = space.correlated_at ?? "";
  return time(at, ago(at, Date.now()), moment(at));
}

/** @param {string} code @param {string} collection @param {Space} space @param {number} many */
function counted(code, collection, space, many) {
  return many > 0 ? link(withQuery(path("projects", code, "registers", collection), { space: space.number }), number(many)) : number(many);
}
