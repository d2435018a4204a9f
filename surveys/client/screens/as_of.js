/** As of: what each element showed in a year, or at the end of a phase, how surely, and what has no evidence. */

import { asOf } from "../api/elements.js";
import { all, project as readProject } from "../api/records.js";
import { path, withQuery } from "../lib/paths.js";
import { count } from "../lib/words.js";
import * as model from "../model/as_of.js";
import { controls } from "./as_of/controls.js";
import { elementItem } from "./as_of/element.js";
import { h, link } from "./parts/dom.js";
import { announce, purpose } from "./parts/say.js";
import { freshness } from "./parts/watching.js";

const RESTS_ON = ["layer", "sample", "element", "generation", "phase", "evidence", "space", "project"];

/** @type {import("./parts/visit.js").Screen} */
export async function asOfScreen(visit) {
  const code = visit.params["code"] ?? "";
  const { signal } = visit;
  const asked = model.fromQuery(visit.query);
  const [project, phases, spaces] = await Promise.all([
    readProject(code, signal), all(code, "phases", { ordering: "ordinal", fields: "ordinal,label,earliest,latest" }, signal), all(code, "spaces", { fields: "number,name" }, signal),
  ]);
  const known = /** @type {any[]} */ (phases);
  const range = model.extent(project, known);
  const view = asked.year === null && asked.phase === null ? { ...asked, year: model.middle(range) } : asked;
  const told = await asOf(code, view, signal);
  announce(model.summary(told));
  const go = (/** @type {Partial<model.View>} */ change) => visit.go(withQuery(path("projects", code, "as-of"), model.toQuery({ ...view, ...change })));
  return {
    title: "As of", project, here: "as-of",
    body: [
      purpose("What each element looked like in a year, or when a phase was done: the finish, how surely, and where nothing tells."),
      freshness(visit, code, project.cursor, RESTS_ON),
      controls(view, range, known, /** @type {any[]} */ (spaces), go),
      h("p", { class: "asofsummary" }, h("strong", null, model.summary(told)), " Colours on a screen are for orientation only."),
      view.tentative && h("p", { class: "box" }, h("strong", null, "What if: "), "tentative evidence bounds years here. Nothing of this is stored."),
      told.elements.length === 0 && h("p", { class: "empty" }, "There are no elements yet. Enter or import some first."),
      ...model.bySpace(told.elements).map((one) => space(code, one, told)),
      h("section", { class: "cautions", "aria-labelledby": "cautions" }, h("h2", { id: "cautions" }, "Cautions"), h("ul", null, told.cautions.map((one) => h("li", null, one)))),
    ],
  };
}

/** @param {string} code @param {ReturnType<typeof model.bySpace>[number]} one @param {model.AsOf} told */
function space(code, one, told) {
  const id = `space-${one.space}`;
  const method = told.spaces.find((other) => other.space === one.space)?.sentence ?? "";
  return h("section", { class: "asofspace", "aria-labelledby": id },
    h("h2", { id }, link(path("projects", code, "spaces", one.space), `Space ${one.space}`), one.name && ` ${one.name}`),
    method && told.year !== null && h("p", { class: "hint method" }, method),
    one.found.length > 0 ? h("ul", { class: "asoflist" }, one.found.map((element) => elementItem(code, element))) : h("p", { class: "empty" }, "No element of this space has a finish that anything tells of."),
    one.gaps.length > 0 && h("details", { class: "gaps", open: one.gaps.length <= 3 || one.found.length === 0 },
      h("summary", null, h("span", { class: "mark", "aria-hidden": "true" }, "○"), ` Without evidence: ${count(one.gaps.length, "element")}`),
      h("ul", null, one.gaps.map((element) => h("li", null, link(path("projects", code, "registers", "elements", element.element_id), `${element.element_class} ${element.element}`), `: ${element.sentence}`)))));
}
