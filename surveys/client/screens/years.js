/** Years: the generations of all spaces on one axis, with what bounds them. */

import { project as readProject, all } from "../api/records.js";
import { years as readYears } from "../api/results.js";
import { path, withQuery } from "../lib/paths.js";
import { count, list } from "../lib/words.js";
import { mayWrite } from "../model/roles.js";
import * as model from "../model/years.js";
import { alsoTell } from "./help.js";
import { h, link, refill } from "./parts/dom.js";
import { announce, purpose } from "./parts/say.js";
import { freshness } from "./parts/watching.js";
import { conflictList } from "./standing/missing.js";
import { Board } from "./years/board.js";
import { campaignsSection } from "./years/campaigns.js";
import { controls } from "./years/controls.js";
import { detail, recordsTable, wordsTable } from "./years/detail.js";
import { rangeInWords, signs } from "./years/drawing.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Row} Row */
/** @typedef {import("../model/years.js").Mark} Mark */
/** @typedef {import("../model/years.js").Dated} Dated */

const KEYS = /** @type {const} */ ([
  ["Up, Down", "the generation above or below, with what its years rest on"],
  ["Left, Right", "earlier or later"],
  ["+, -", "closer, wider (also Ctrl and the wheel, or a double click)"],
  ["0", "all years"],
  ["Enter", "to the chart of the space"],
]);
const DATED_BY = ["evidence", "phase", "generation", "layer", "space", "element", "project"];

/** @type {import("./parts/visit.js").Screen} */
export async function yearsScreen(visit) {
  const code = visit.params["code"] ?? "";
  const view = model.fromQuery(visit.query);
  const { signal } = visit;
  const [project, dating, phases, evidence, elements, rows] = await Promise.all([
    readProject(code, signal), readYears(code, view.tentative, signal), all(code, "phases", { ordering: "ordinal" }, signal), all(code, "evidence", { ordering: "reference" }, signal),
    all(code, "elements", { fields: "id,space_number" }, signal), all(code, "generations", { fields: "id,name,label" }, signal),
  ]);
  const labels = new Map(rows.filter((one) => one["label"]).map((one) => [String(one["name"]), String(one["label"])]));
  const shown = new Years(visit, code, view, {
    project, dating, labels, marks: marks(evidence, elements, dating.generations), allPhases: /** @type {any[]} */ (phases),
    phases: /** @type {any[]} */ (phases).filter((one) => one.earliest !== null || one.latest !== null),
  });
  alsoTell("Years, while the axis has the focus", KEYS, signal);
  return { title: "Years", project, here: "years", body: shown.body() };
}

/** Evidence that names a year, with the space that it bears on. @param {Row[]} evidence @param {Row[]} elements @param {readonly Dated[]} generations @returns {Mark[]} */
function marks(evidence, elements, generations) {
  const keys = new Map(generations.map((one) => [one.id, model.keyOf(one)]));
  const spaces = new Map(elements.map((one) => [one.id, String(one["space_number"])]));
  return /** @type {any[]} */ (evidence).filter((one) => (one.earliest !== null || one.latest !== null) && one.relation).map((one) => {
    const generation = keys.get(one.generation) ?? "";
    const bears = one.bears_on === "element" ? `element ${one.element_code}` : one.bears_on === "phase" ? `phase ${one.phase_ordinal}` : one.bears_on;
    const space = generation ? generation.slice(0, generation.lastIndexOf("/")) : (one.space_number ?? spaces.get(one.element) ?? "");
    return { reference: one.reference, id: one.id, bears_on: bears, space, generation, relation: one.relation, earliest: one.earliest, latest: one.latest, certainty: one.certainty };
  });
}

class Years {
  /**
   * @param {Visit} visit @param {string} code @param {import("../model/years.js").View} view
   * @param {{
   *   project: import("../model/types.js").Project, dating: Awaited<ReturnType<typeof readYears>>, phases: any[], allPhases: any[], marks: Mark[], labels: Map<string, string>
   * }} record
   */
  constructor(visit, code, view, record) {
    this.visit = visit;
    this.code = code;
    this.view = view;
    this.record = record;
    const { dating, phases } = record;
    this.whole = model.extent([
      record.project.first_year, record.project.last_year, ...phases.flatMap((one) => [one.earliest, one.latest]),
      ...record.marks.flatMap((one) => [one.earliest, one.latest]), ...dating.generations.flatMap((one) => [one.earliest, one.latest]),
    ]);
    this.groups = model.groups(dating.generations, record.marks, view.spaces);
    this.order = this.groups.flatMap((one) => one.generations.map(model.keyOf));
    this.place = h("div", { class: "yearsdetail", "aria-live": "polite" });
  }

  body() {
    const { dating, labels, phases } = this.record;
    const spaces = [...new Set(dating.generations.map((one) => one.space))];
    if (!this.whole || dating.generations.length === 0) {
      return [this.purpose(), h("p", { class: "empty" }, "There are no generations yet, so nothing has a year. Correlate the spaces first: "), link(path("projects", this.code), "to the spaces")];
    }
    const board = new Board(this.code, this.whole, this.view, this.groups, { phases, marks: this.record.marks.filter((one) => one.space === ""), labels }, {
      range: (range) => this.move(range), at: (key) => this.choose(key), open: (key) => this.open(key), step: (by) => this.choose(model.stepped(this.order, this.view.at, by)),
    }, this.visit.signal);
    this.board = board;
    this.tools = controls(this.view, spaces, this.whole, { change: (view) => this.ask(view), range: (range) => this.move(range), zoom: (share) => board.zoom(share), pan: (share) => board.pan(share) });
    this.showDetail();
    const chosen = this.groups.flatMap((one) => one.generations);
    const conflicts = dating.conflicts.filter((one) => this.view.spaces.length === 0 || one.generations.some((key) => this.view.spaces.includes(key.slice(0, key.lastIndexOf("/")))));
    return [
      this.purpose(),
      freshness(this.visit, this.code, this.record.project.cursor, DATED_BY),
      !dating.current && h("p", { class: "hint" }, "◑ The record has changed since its years were last stored; what is shown here follows from it as it is now."),
      this.view.tentative && h("p", { class: "box" }, h("strong", null, "What if: "), "tentative evidence bounds years here. Nothing of this is stored."),
      this.tools.element, signs(), board.element, this.place,
      h("section", { "aria-labelledby": "conflicts" }, h("h2", { id: "conflicts" }, "Conflicts of date"), conflictList(this.code, conflicts)),
      spaces.length > 1 && campaignsSection(this.visit, this.code, spaces, mayWrite(this.record.project.role), this.record.allPhases, (key) => this.choose(key)),
      h("section", { "aria-labelledby": "words" }, h("h2", { id: "words" }, "The same in words"),
        h("p", { class: "hint" }, this.prior(), " Generations are never later than the one above them."),
        wordsTable(this.code, chosen, this.view, labels), recordsTable(this.code, phases, this.record.marks.filter((one) => one.space === "" || this.groups.some((group) => group.space === one.space)))),
      this.unused(),
    ];
  }

  purpose() {
    return purpose("When each generation was painted: the bounds that the record allows, and how likely each year is within them.");
  }

  /** Which prior, in the words of what computed it. */
  prior() {
    const wanted = model.PRIORS.find(([key]) => key === this.view.prior)?.[1];
    const found = this.record.dating.spaces.filter((one) => one.prior === wanted && (this.groups.length === 0 || this.groups.some((group) => group.space === one.space)));
    return found[0]?.sentence.replace(/^Space [^:]+: /, "").replace(/^./, (first) => first.toUpperCase()) ?? "";
  }

  unused() {
    const { unused } = this.record.dating;
    return unused.length > 0 && h("section", { "aria-labelledby": "unused" }, h("h2", { id: "unused" }, "What bounds nothing, and why"), h("ul", null, model.unusedInWords(unused).map((one) => h("li", null, one))));
  }

  /** The address says what is shown, so that it can be sent to somebody. */
  tell() {
    history.replaceState(null, "", withQuery(location.pathname, model.toQuery(this.view)));
  }

  /** @param {import("../model/years.js").Range} range */
  move(range) {
    if (!this.whole) return;
    this.view.range = model.isWhole(range, this.whole) ? null : range;
    this.board?.draw();
    this.tools?.range(range);
    this.tell();
    announce(`${rangeInWords(range)} shown.`);
  }

  /** @param {string} key */
  choose(key) {
    this.view.at = key;
    this.board?.draw();
    this.board?.reveal(key);
    this.showDetail();
    this.tell();
  }

  /** @param {string} key */
  open(key) {
    const space = key.slice(0, key.lastIndexOf("/"));
    if (space) this.visit.go(path("projects", this.code, "spaces", space));
  }

  showDetail() {
    const { at } = this.view;
    const { dating, labels } = this.record;
    const one = dating.generations.find((other) => model.keyOf(other) === at);
    refill(this.place, detail(this.code, one, this.view, labels.get(at) ?? "", dating.conflicts.filter((_, index) => one?.conflicts.includes(index))));
  }

  /** Another prior, other spaces, tentative or not: worked out or laid out anew. @param {Partial<import("../model/years.js").View>} view */
  ask(view) {
    const next = { ...this.view, ...view };
    announce(next.spaces.length > 0 ? `Spaces ${list(next.spaces)}.` : `${count(this.groups.length, "space")}.`);
    this.visit.go(withQuery(path("projects", this.code, "years"), model.toQuery(next)));
  }
}

