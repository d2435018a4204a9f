/** Findings: the interpretations of a project with their states, narrowed by what stands in the address. */

import { interpretations } from "../api/findings.js";
import { project as readProject, all, vocabulary } from "../api/records.js";
import { path, withQuery } from "../lib/paths.js";
import { count } from "../lib/words.js";
import { asked, FILTERS, narrowed, stateMark, STATES, SUBJECTS } from "../model/findings.js";
import { mayWrite } from "../model/roles.js";
import { tabs } from "./findings/tabs.js";
import { citationLink, subjectLink } from "./findings/links.js";
import { button, h, link, newId, refill, stateOf } from "./parts/dom.js";
import { busy, purpose, refusals } from "./parts/say.js";
import { table } from "./parts/table.js";
import { freshness } from "./parts/watching.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/findings.js").Interpretation} Interpretation */

const SHOWN = 4;
const HEADS = ["Number", "State", "Finding", "About", "Discipline", "Author", "Cites"];

/** @type {import("./parts/visit.js").Screen} */
export async function findingsScreen(visit) {
  const code = visit.params["code"] ?? "";
  const query = asked(visit.query);
  const [project, words, members, first] = await Promise.all([
    readProject(code, visit.signal), vocabulary(), all(code, "members", {}, visit.signal), interpretations(code, query, null, visit.signal),
  ]);
  const authors = members.filter((one) => one["role"] === "coordinator" || one["role"] === "consultant").map((one) => /** @type {const} */ ([String(one["username"]), String(one["name"])]));
  return {
    title: "Findings",
    project,
    here: "findings",
    body: [
      purpose("What the team concludes, who agrees, and what it rests on. An interpretation cites samples, layers and evidence, and is reviewed."),
      tabs(code, "interpretations"),
      freshness(visit, code, project.cursor, ["interpretation"]),
      mayWrite(project.role) && h("p", { class: "buttons" }, h("a", { class: "button", href: path("projects", code, "findings", "new") }, "New interpretation")),
      filters(visit, code, { ...words, states: [...STATES], subjects: [...SUBJECTS] }, authors),
      listed(visit, code, query, first),
    ],
  };
}

/** @param {Visit} visit @param {string} code @param {Record<string, string[]>} words @param {(readonly [string, string])[]} authors */
function filters(visit, code, words, authors) {
  const choices = /** @type {const} */ ([["state", "State", "states"], ["discipline", "Discipline", "disciplines"], ["subject", "About a", "subjects"], ["certainty", "Certainty", "certainties"]]);
  const send = () => {
    const told = new FormData(form);
    visit.go(withQuery(path("projects", code, "findings"), Object.fromEntries(FILTERS.map((name) => [name, String(told.get(name) ?? visit.query.get(name) ?? "").trim()]))));
  };
  const form = h("form", { class: "search", "aria-label": "Narrow the list", onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    send();
  } },
    choices.map(([name, label, list]) => choice(visit, name, label, (words[list] ?? []).map((word) => [word, word]))),
    choice(visit, "author", "Author", authors),
    text(visit, "space", "In space"), text(visit, "search", "Words"),
    h("button", { type: "submit" }, "Narrow"),
    narrowed(visit.query) && link(path("projects", code, "findings"), "Show all"));
  return form;
}

/** @param {Visit} visit @param {string} name @param {string} label @param {(readonly [string, string])[]} offers */
function choice(visit, name, label, offers) {
  const id = newId("filter");
  const now = visit.query.get(name) ?? "";
  return h("div", { class: "field" }, h("label", { for: id }, label),
    h("select", { id, name }, h("option", { value: "" }, "any"), offers.map(([value, shown]) => h("option", { value, selected: value === now }, shown))));
}

/** @param {Visit} visit @param {string} name @param {string} label */
function text(visit, name, label) {
  const id = newId("filter");
  return h("div", { class: "field" }, h("label", { for: id }, label), h("input", { id, name, value: visit.query.get(name) ?? "", size: name === "space" ? 8 : 16, autocomplete: "off" }));
}

/** @param {Visit} visit @param {string} code @param {Record<string, string>} query @param {import("../api/records.js").Page<Interpretation>} first */
function listed(visit, code, query, first) {
  const place = h("div");
  const problem = refusals();
  const rows = [...first.results];
  let { cursor } = first;
  const show = () => refill(place,
    h("p", { role: "status" }, `${count(first.count ?? rows.length, "interpretation")}${narrowed(visit.query) ? " fit" : ""}${rows.length < (first.count ?? 0) ? `; ${rows.length} shown` : ""}.`),
    table("Interpretations", HEADS, rows.map((one) => rowOf(code, one)), {
      empty: narrowed(visit.query) ? "None fits. Show all, or narrow it otherwise." : "Nobody has concluded anything yet. Write the first: what you conclude, of what, and the layers and evidence that it rests on.",
    }),
    cursor && more);
  const more = button("Show more", () => busy(more, problem, async () => {
    const next = await interpretations(code, query, cursor, visit.signal);
    rows.push(...next.results);
    cursor = next.cursor;
    show();
  }));
  show();
  return h("section", { "aria-label": "Interpretations" }, place, problem.place);
}

/** @param {string} code @param {Interpretation} one @returns {import("./parts/dom.js").Child[]} */
function rowOf(code, one) {
  const cites = one.citations.slice(0, SHOWN).flatMap((cite, index) => [index > 0 ? ", " : "", citationLink(code, cite)]);
  return [
    link(path("projects", code, "findings", one.number), one.number), stateOf(stateMark(one.state)),
    h("span", { class: "statement" }, short(one.statement), one.certainty && h("span", { class: "hint" }, ` (${one.certainty})`)),
    subjectLink(code, one), one.discipline, one.created_by,
    h("span", null, cites, one.citations.length > SHOWN && ` and ${one.citations.length - SHOWN} more`, one.citations.length === 0 && h("span", { class: "blank" }, "nothing yet")),
  ];
}

/** @param {string} text */
function short(text) {
  return text.length > 240 ? `${text.slice(0, 238)} …` : text;
}
