/** One space: its generation chart, its generations, and the rulings on its layers. */

import { all, project as readProject, space as readSpace } from "../api/records.js";
import { ask, chart as readChart, rulings as readRulings } from "../api/work.js";
import { path, withQuery } from "../lib/paths.js";
import { mayWrite } from "../model/roles.js";
import { button, h, link, refill } from "./parts/dom.js";
import { busy, purpose, refusals } from "./parts/say.js";
import { freshness, watch } from "./parts/watching.js";
import { chartPicture, chartTable } from "./space/chart.js";
import { generationsTable } from "./space/generations.js";
import { rulingsSection } from "./space/rulings.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Chart} Chart */
/** @typedef {import("../model/types.js").Project} Project */

const FORMS = /** @type {const} */ ([["pdf", "PDF"], ["png", "PNG"], ["svg", "SVG"], ["json", "JSON"]]);
const PAPERS = ["A3", "A4", "tabloid"];

/** @type {import("./parts/visit.js").Screen} */
export async function spaceScreen(visit) {
  const code = visit.params["code"] ?? "";
  const number = visit.params["number"] ?? "";
  const [project, space] = await Promise.all([readProject(code, visit.signal), readSpace(code, number, visit.signal)]);
  const [chart, rulings, generations] = await Promise.all([
    readChart(code, space.id, visit.signal),
    readRulings(code, space.id, visit.signal),
    all(code, "generations", { space: space.id, ordering: "ordinal" }, visit.signal),
  ]);
  const writes = mayWrite(project.role);
  return {
    title: `Space ${number}${space.name ? `, ${space.name}` : ""}`,
    project,
    here: "space",
    body: [
      purpose("The paint of one space, generation by generation, oldest at the foot; and what the team has ruled on its layers."),
      h("p", { class: "buttons" }, link(path("projects", code), "All spaces"), " · ",
        link(withQuery(path("projects", code, "registers", "layers"), { space: number }), "Its layers"), " · ",
        link(withQuery(path("projects", code, "registers", "samples"), { space: number }), "Its samples")),
      freshness(visit, code, project.cursor, ["sample", "layer", "ruling", "generation", "phase"]),
      h("section", { "aria-labelledby": "chart" }, h("h2", { id: "chart" }, "Generation chart"),
        standing(chart), deeds(visit, code, chart, writes), chartPicture(visit, code, chart), chartTable(chart), cautions(chart)),
      h("section", { "aria-labelledby": "generations" }, h("h2", { id: "generations" }, "Generations"), generationsTable(visit, code, generations, writes)),
      rulingsSection(visit, code, chart, rulings, writes),
    ],
  };
}

/** @param {Chart} chart */
function standing(chart) {
  const mark = !chart.correlated_at ? "○" : chart.current ? "●" : "◑";
  return h("ul", { class: "notes" }, chart.notes.map((note) => h("li", null, h("span", { class: "mark", "aria-hidden": "true" }, mark), " ", note)));
}

/** @param {Visit} visit @param {string} code @param {Chart} chart @param {boolean} writes */
function deeds(visit, code, chart, writes) {
  const place = h("div");
  const problem = refusals();
  const correlate = button("Correlate this space", () => busy(correlate, problem, async () => {
    const job = await ask(code, "correlate", { space: chart.space });
    refill(place, watch(visit, code, job, (ended) => {
      const refused = ended.result?.spaces?.[0]?.refused;
      if (ended.state === "done" && !refused) visit.reload();
    }));
  }), { class: "main" });
  const paper = h("select", { "aria-label": "Paper of the PDF" }, PAPERS.map((one) => h("option", null, one)));
  const drawings = FORMS.map(([form, label]) => {
    const made = button(`Chart as ${label}`, () => busy(made, problem, async () => {
      const job = await ask(code, "chart", form === "pdf" ? { space: chart.space, format: form, paper: paper.value } : { space: chart.space, format: form });
      refill(place, watch(visit, code, job, (ended) => ended.state === "done" && place.querySelector("a")?.focus()));
    }));
    return form === "pdf" ? [made, " ", paper, " "] : [made, " "];
  });
  const empty = chart.cells.length === 0;
  return h("div", { class: "deeds" }, h("p", { class: "buttons" }, writes && !empty && correlate, " ", !empty && drawings.flat()), problem.place, place);
}

/** @param {Chart} chart */
function cautions(chart) {
  if (chart.cautions.length === 0) return null;
  return h("div", { class: "box cautions", role: "note", "aria-labelledby": "cautions" },
    h("h3", { id: "cautions" }, "Cautions"), h("ul", null, chart.cautions.map((one) => h("li", null, one))));
}

