/** One space: its generation chart, its generations, and the rulings on its layers. */

import { all, project as readProject, space as readSpace } from "../api/records.js";
import { ask, chart as readChart, rulings as readRulings } from "../api/work.js";
import { path, withQuery } from "../lib/paths.js";
import { mayWrite } from "../model/roles.js";
import { button, h, link, refill } from "./parts/dom.js";
import { busy, purpose, refusals } from "./parts/say.js";
import { talkSection } from "./parts/talking.js";
import { attachmentsSection } from "./pictures/attachments.js";
import { watch } from "./parts/watching.js";
import { legend } from "./chart/legend.js";
import { live } from "./chart/live.js";
import { lookingSection } from "./chart/looking.js";
import { ChartView } from "./chart/view.js";
import { chartTable } from "./space/chart.js";
import { generationsTable } from "./space/generations.js";
import { rulingsSection } from "./space/rulings.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Chart} Chart */
/** @typedef {import("../model/types.js").Project} Project */
/** @typedef {import("./chart/view.js").Data} Data */

const FORMS = /** @type {const} */ ([["pdf", "PDF"], ["png", "PNG"], ["svg", "SVG"], ["json", "JSON"]]);
const SHOWN = ["sample", "layer", "ruling", "generation", "phase", "element", "evidence", "comment"];
const PAPERS = ["A3", "A4", "tabloid"];

/** @type {import("./parts/visit.js").Screen} */
export async function spaceScreen(visit) {
  const code = visit.params["code"] ?? "";
  const number = visit.params["number"] ?? "";
  const [project, space] = await Promise.all([readProject(code, visit.signal), readSpace(code, number, visit.signal)]);
  const page = new Page(visit, project, space, await readData(visit, code, space.id));
  if (project.cursor !== undefined) live(visit.signal, code, project.cursor, SHOWN, (fresh) => page.changed(fresh));
  return { title: `Space ${number}${space.name ? `, ${space.name}` : ""}`, project, here: "space", body: page.body() };
}

/** @param {Visit} visit @param {string} code @param {string} id @returns {Promise<Data>} */
async function readData(visit, code, id) {
  const [chart, rulings, generations] = await Promise.all([
    readChart(code, id, visit.signal),
    readRulings(code, id, visit.signal),
    all(code, "generations", { space: id, ordering: "ordinal" }, visit.signal),
  ]);
  return { chart, rulings, generations };
}

/** The parts of the screen, each shown anew when the record changes. */
class Page {
  /** @param {Visit} visit @param {Project} project @param {import("../model/types.js").Space} space @param {Data} data */
  constructor(visit, project, space, data) {
    this.code = project.code;
    this.space = space;
    this.data = data;
    this.writes = mayWrite(project.role);
    this.signal = visit.signal;
    /** @type {Visit} */
    this.visit = { ...visit, reload: () => { this.refresh(true).catch(() => visit.reload()); } };
    this.view = data.chart.cells.length ? new ChartView(visit, project, data, this.writes, () => this.refresh(true)) : null;
    this.looking = this.view && lookingSection(this.code, space.id, this.writes, visit, (layers) => this.view?.pick(layers));
    this.reload = visit.reload;
    this.notes = h("div");
    this.below = h("div");
    this.generations = h("section", { "aria-labelledby": "generations" });
    this.rulings = h("div");
    this.attached = attachmentsSection(visit, project, "space", space.id);
    this.talk = talkSection(visit, project, "space", space.id, space.number);
  }

  body() {
    const { code, writes, data: { chart } } = this;
    const number = this.space.number;
    this.fill(true);
    return [
      purpose("The paint of one space, generation by generation, oldest at the foot; and what the team has ruled on its layers."),
      h("p", { class: "buttons" }, link(path("projects", code), "All spaces"), " · ",
        link(withQuery(path("projects", code, "registers", "layers"), { space: number }), "Its layers"), " · ",
        link(withQuery(path("projects", code, "registers", "samples"), { space: number }), "Its samples")),
      h("section", { "aria-labelledby": "chart" }, h("h2", { id: "chart" }, "Generation chart"), this.notes, deeds(this.visit, code, chart, writes),
        this.view?.element ?? h("p", { class: "empty" }, "There are no layers in this space yet, so there is nothing to draw."), this.looking?.element, this.view && legend(), this.below),
      this.generations, this.rulings, this.attached, this.talk,
    ];
  }

  /** @param {import("../model/types.js").Change[]} fresh */
  async changed(fresh) {
    if (fresh.some((one) => one.record_type === "comment")) await this.view?.talking.read();
    if (fresh.some((one) => one.record_type !== "comment")) await this.refresh(false);
  }

  /** @param {boolean} own whether it is one's own doing, which nothing typed can be lost by */
  async refresh(own) {
    const data = await readData(this.visit, this.code, this.space.id);
    if (this.signal.aborted) return;
    if ((data.chart.cells.length > 0) !== (this.view !== null)) {
      this.reload();
      return;
    }
    this.data = data;
    this.view?.update(data);
    this.looking?.changed();
    this.fill(own);
  }

  /** @param {boolean} own */
  fill(own) {
    const { visit, code, writes, data: { chart, rulings, generations } } = this;
    refill(this.notes, standing(chart));
    const words = this.below.querySelector("details")?.open ?? false;
    refill(this.below, chartTable(chart), cautions(chart));
    if (words) this.below.querySelector("details")?.setAttribute("open", "");
    if (own || !this.generations.querySelector(".opened")) {
      refilled(this.generations, h("h2", { id: "generations", tabindex: -1 }, "Generations"), generationsTable(visit, code, generations, writes));
    }
    if (own || !isTyped(this.rulings)) refilled(this.rulings, rulingsSection(visit, code, chart, rulings, writes));
  }
}

/** Put other content in place; who had the focus within stays by the part. @param {HTMLElement} part @param {...import("./parts/dom.js").Child} content */
function refilled(part, ...content) {
  const within = part.contains(document.activeElement);
  refill(part, ...content);
  const heading = part.querySelector("h2");
  heading?.setAttribute("tabindex", "-1");
  if (within) heading?.focus({ preventScroll: true });
}

/** @param {HTMLElement} part */
function isTyped(part) {
  return [...part.querySelectorAll("input, textarea")].some((one) => (one instanceof HTMLInputElement || one instanceof HTMLTextAreaElement) && one.value !== "") || part.contains(document.activeElement);
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

