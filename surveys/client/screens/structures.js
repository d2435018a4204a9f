/** The projects that I belong to. */

import { myNews } from "../api/news.js";
import { all, beginProject, changes, project as readProject, projects } from "../api/records.js";
import { isStop } from "../api/http.js";
import { path } from "../lib/paths.js";
import { ago, count, moment } from "../lib/words.js";
import { fresh, waits } from "../model/news.js";
import { PROJECT_FIELDS } from "../model/registers.js";
import { maySee } from "../model/roles.js";
import { summary } from "../model/changes.js";
import { h, link, refill, time } from "./parts/dom.js";
import { recordForm } from "./parts/form.js";
import { purpose, reportUnexpected } from "./parts/say.js";
import { table } from "./parts/table.js";

/** @typedef {import("../model/types.js").Project} Project */
/** @typedef {import("../model/types.js").Space} Space */
/** @typedef {import("./parts/visit.js").Visit} Visit */

/** @type {import("./parts/visit.js").Screen} */
export async function structuresScreen(visit) {
  const mine = await projects(visit.signal);
  /** @type {Map<string, NewsCells>} */
  const cells = new Map();
  const rows = mine.map((project) => row(visit, project, cells));
  fillNews(visit, cells).catch(quietly);
  return {
    title: "Structures",
    body: [
      purpose("The structures that you study or look after, what is new there since you last looked, and what waits for you."),
      h("p", { class: "buttons" }, h("a", { class: "button", href: "/new-project" }, "New project")),
      table("Structures", ["Structure", "Place", "Your role", "Discipline", "New for you", "Waits for you", "Recorded", "Last change"], rows, {
        empty: "You belong to no project yet. Begin one, or ask a coordinator to add you to theirs.",
      }),
    ],
  };
}

/** @typedef {{ fresh: HTMLElement, waits: HTMLElement }} NewsCells */

/** @param {Visit} visit @param {Project} project @param {Map<string, NewsCells>} cells */
function row(visit, project, cells) {
  const waiting = maySee(project.role) ? "…" : "–";
  const [discipline, recorded, last] = [h("span", null, waiting), h("span", null, waiting), h("span", null, waiting)];
  const news = { fresh: h("span", null, waiting), waits: h("span", null, waiting) };
  if (maySee(project.role)) {
    cells.set(project.code, news);
    fillCounts(visit, project, recorded).catch(quietly);
    fillLast(visit, project, discipline, last).catch(quietly);
  }
  return [
    h("span", null, link(path("projects", project.code), project.name), h("span", { class: "code" }, ` ${project.code}`)),
    project.place, project.role, discipline, news.fresh, news.waits, recorded, last,
  ];
}

/** @param {Visit} visit @param {Map<string, NewsCells>} cells */
async function fillNews(visit, cells) {
  for (const one of await myNews(visit.signal)) {
    const found = cells.get(one.code);
    const [said, waiting] = [fresh(one), waits(one)];
    const there = path("projects", one.code);
    if (found) refill(found.fresh, said ? link(there, said) : "nothing");
    if (found) refill(found.waits, waiting ? link(there, waiting) : "nothing");
  }
}

/** @param {unknown} error */
function quietly(error) {
  if (!isStop(error)) reportUnexpected(error);
}

/** @param {Visit} visit @param {Project} project @param {HTMLElement} place */
async function fillCounts(visit, project, place) {
  /** @type {Space[]} */
  const spaces = await all(project.code, "spaces", {}, visit.signal);
  const sum = (/** @type {"sample_count" | "layer_count"} */ name) => spaces.reduce((total, one) => total + one[name], 0);
  place.textContent = `${count(spaces.length, "space")}, ${count(sum("sample_count"), "sample")}, ${count(sum("layer_count"), "layer")}`;
}

/** The list shows what a contractor may see too, so the rest is asked for. @param {Visit} visit @param {Project} project @param {HTMLElement} discipline @param {HTMLElement} place */
async function fillLast(visit, project, discipline, place) {
  const { cursor = 0, discipline: mine = "" } = await readProject(project.code, visit.signal);
  discipline.textContent = mine;
  const found = await changes(project.code, Math.max(0, cursor - 1), visit.signal, { limit: 1 });
  const line = found.changes.at(-1);
  if (!line) place.textContent = "–";
  else refill(place, time(line.at, ago(line.at, Date.now()), moment(line.at)), ` by ${line.actor}: ${line.reason || summary([line])}`);
}

/** @type {import("./parts/visit.js").Screen} */
export async function newProjectScreen(visit) {
  const fields = PROJECT_FIELDS.filter((field) => ["code", "name", "place", "summary", "first_year", "last_year"].includes(field.name));
  const form = recordForm({
    fields, row: null, words: {}, resolve: async () => null, button: "Begin the project",
    save: (values) => beginProject(values),
    saved: (made) => visit.go(path("projects", String(made["code"]))),
    leave: () => visit.go("/"),
    unsaved: visit.unsaved,
  });
  return { title: "New project", body: [purpose("One structure under study. You become its coordinator, and can then add others to it."), form] };
}
