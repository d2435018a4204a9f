/** Readings: which generations each element carries of those that it could, and what follows for its own history. */

import { readings } from "../api/elements.js";
import { all, project as readProject } from "../api/records.js";
import { path, withQuery } from "../lib/paths.js";
import { count } from "../lib/words.js";
import * as model from "../model/readings.js";
import { h, link, stateOf } from "./parts/dom.js";
import { purpose } from "./parts/say.js";
import { s } from "./parts/svg.js";
import { freshness } from "./parts/watching.js";

const RESTS_ON = ["layer", "sample", "element", "generation", "evidence", "space"];
const STEP = 14;

/** @type {import("./parts/visit.js").Screen} */
export async function readingsScreen(visit) {
  const code = visit.params["code"] ?? "";
  const { signal } = visit;
  const wanted = { space: visit.query.get("space") ?? "", class: visit.query.get("class") ?? "" };
  const [project, spaces, classes, told] = await Promise.all([
    readProject(code, signal), all(code, "spaces", { fields: "number,name" }, signal), all(code, "elements", { fields: "element_class" }, signal), readings(code, wanted, signal),
  ]);
  const numbers = [...new Set(told.elements.map((one) => one.space))];
  return {
    title: "Readings", project, here: "readings",
    body: [
      purpose("What each element's own paint says of its history beside its neighbours: there from the start, put in later, stripped, or brought from elsewhere."),
      freshness(visit, code, project.cursor, RESTS_ON),
      choices(wanted, /** @type {any[]} */ (spaces), [...new Set(classes.map((one) => String(one["element_class"])))].sort(), (change) => visit.go(withQuery(path("projects", code, "readings"), { ...wanted, ...change }))),
      told.elements.length > 0 && h("p", null, model.tally(told.elements).flatMap(([word, many]) => [stateOf(model.markOf(word)), ` ${many}`, " \u2003"])),
      signs(),
      told.elements.length === 0 && h("p", { class: "empty" }, "No element fits. Choose another space or class."),
      ...numbers.map((number) => space(code, number, told.elements.filter((one) => one.space === number))),
    ],
  };
}

/** @param {{ space: string, class: string }} wanted @param {readonly { number: string, name: string }[]} spaces @param {readonly string[]} classes @param {(change: Record<string, string>) => void} go */
function choices(wanted, spaces, classes, go) {
  const space = h("select", { id: "reading-space", onchange: () => go({ space: space.value }) },
    h("option", { value: "" }, "all"), spaces.map((one) => h("option", { value: one.number, selected: one.number === wanted.space }, `${one.number} ${one.name}`)));
  const kind = h("select", { id: "reading-class", onchange: () => go({ class: kind.value }) },
    h("option", { value: "" }, "all"), classes.map((one) => h("option", { value: one, selected: one === wanted.class }, one)));
  return h("form", { class: "search", "aria-label": "Which elements", onsubmit: (/** @type {Event} */ event) => event.preventDefault() },
    h("div", { class: "field" }, h("label", { for: "reading-space" }, "Space"), space), h("div", { class: "field" }, h("label", { for: "reading-class" }, "Class"), kind));
}

/** @param {string} code @param {string} number @param {readonly model.Reading[]} elements */
function space(code, number, elements) {
  const id = `space-${number}`;
  const highest = model.highest(elements);
  const bare = elements.filter((one) => one.conclusion === "no evidence");
  return h("section", { class: "readingspace", "aria-labelledby": id },
    h("h2", { id }, link(path("projects", code, "spaces", number), `Space ${number}`), elements[0]?.space_name && ` ${elements[0].space_name}`),
    h("ul", { class: "readings" }, elements.filter((one) => one.conclusion !== "no evidence").map((one) => item(code, one, highest))),
    bare.length > 0 && h("details", { class: "gaps" }, h("summary", null, h("span", { class: "mark", "aria-hidden": "true" }, "○"), ` No evidence: ${count(bare.length, "element")}`),
      h("ul", null, bare.map((one) => h("li", null, link(path("projects", code, "registers", "elements", one.element_id), `${one.element_class} ${one.element}`), `: ${one.sentence}`)))));
}

/** @param {string} code @param {model.Reading} one @param {number} highest */
function item(code, one, highest) {
  const missing = model.missingInWords(one);
  return h("li", { class: "reading", "data-element": one.element },
    h("h3", null, link(path("projects", code, "registers", "elements", one.element_id), `${one.element_class} ${one.element}`), one.position && h("span", { class: "by" }, ` ${one.position}`)),
    h("p", { class: "verdict" }, stateOf(model.markOf(one.conclusion)), model.surelyInWords(one) && ` · ${model.surelyInWords(one)}`),
    ladder(one, highest),
    h("p", null, one.sentence),
    h("details", null, h("summary", null, "What it rests on"),
      one.because.length > 0 && h("ul", null, one.because.map((line) => h("li", null, line))),
      one.chances.length > 0 && h("p", null, "Weighed: ", one.chances.map((chance) => `${chance.history} ${Math.round(chance.probability * 100)} %`).join(", "), "."),
      missing && h("p", null, `Missing: generations ${missing}.`),
      h("p", null, "Samples: ", one.samples.flatMap((sample, index) => [index > 0 ? ", " : null, link(path("projects", code, "bench", sample.number), sample.number)]), ".")));
}

/** The generations as a row of shapes, oldest to the left. @param {model.Reading} one @param {number} highest */
function ladder(one, highest) {
  const width = highest * STEP + 2;
  const said = `Carries generations ${model.runs(one.carried)} of ${highest}.`;
  return h("div", { class: "ladderframe" }, s("svg", { class: "ladder", width, height: 30, viewBox: `0 0 ${width} 30`, role: "img", "aria-label": said },
    model.ladder(one, highest).flatMap((rung) => rungs((rung.ordinal - 1) * STEP + 1, rung.state, rung.ordinal % 5 === 0 || rung.ordinal === 1 ? String(rung.ordinal) : ""))));
}

/** @param {number} x @param {model.Rung["state"]} state @param {string} number */
function rungs(x, state, number) {
  const drawn = {
    carried: s("rect", { class: "carried", x: x + 1, y: 2, width: 10, height: 14 }),
    below: s("path", { class: "below", d: `M${x + 1} 2h10v14h-10zM${x + 1} 16L${x + 11} 2` }),
    missing: s("rect", { class: "missing", x: x + 1.5, y: 2.5, width: 9, height: 13 }),
    unseen: s("line", { class: "unseen", x1: x + 3, x2: x + 9, y1: 9, y2: 9 }),
  }[state];
  return [drawn, number && s("text", { x: x + 6, y: 28, "text-anchor": "middle" }, number)];
}

function signs() {
  const told = /** @type {const} */ ([["carried", "carries it"], ["below", "carries it, below where its own sequence begins"], ["missing", "could carry it and does not"], ["unseen", "its samples cannot show it"]]);
  return h("ul", { class: "signs" }, told.map(([state, text]) => h("li", null, s("svg", { class: "ladder", width: 14, height: 18, "aria-hidden": "true" }, rungs(0, state, "")), " ", text)));
}
