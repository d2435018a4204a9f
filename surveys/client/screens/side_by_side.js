/** Side by side: what paint, documents and construction, or two disciplines, say of one space or element. */

import { sides as readSides } from "../api/findings.js";
import { all, project as readProject, vocabulary } from "../api/records.js";
import { path, withQuery } from "../lib/paths.js";
import { capital, count, years } from "../lib/words.js";
import { percent, placement } from "../model/confidence.js";
import { columns, pageOf, stateMark, whenTold } from "../model/findings.js";
import { mayWrite } from "../model/roles.js";
import { subjectLink } from "./findings/links.js";
import { tabs } from "./findings/tabs.js";
import { h, link, newId, stateOf } from "./parts/dom.js";
import { purpose } from "./parts/say.js";
import { table } from "./parts/table.js";
import { freshness } from "./parts/watching.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/findings.js").Sides} Sides */
/** @typedef {import("../model/findings.js").Side} Side */
/** @typedef {import("../model/findings.js").Point} Point */
/** @typedef {import("../model/types.js").Row} Row */

/** @type {import("./parts/visit.js").Screen} */
export async function sidesScreen(visit) {
  const code = visit.params["code"] ?? "";
  const { signal } = visit;
  const [project, words, spaces] = await Promise.all([readProject(code, signal), vocabulary(), all(code, "spaces", { fields: "id,number,name" }, signal)]);
  const chosen = await placeOf(visit, code, spaces);
  const top = [
    purpose("What each discipline says of one space or element, and where they agree, contradict each other, or still ask."),
    tabs(code, "sides"),
  ];
  if (!chosen.space) return { title: "Side by side", project, here: "findings", body: [...top, h("p", { class: "empty" }, "There are no spaces yet, so there is nothing to compare.")] };
  const [elements, found] = await Promise.all([
    all(code, "elements", { space: chosen.space, fields: "id,code,element_class" }, signal),
    chosen.element ? readSides(code, "elements", chosen.element, signal) : readSides(code, "spaces", chosen.space, signal),
  ]);
  const [left, right] = [visit.query.get("left") ?? "", visit.query.get("right") ?? ""];
  return {
    title: "Side by side",
    project,
    here: "findings",
    body: [
      ...top, controls(visit, code, spaces, elements, { ...chosen, left, right }, words["disciplines"] ?? [], found),
      freshness(visit, code, project.cursor, ["interpretation", "evidence", "question", "generation", "layer"]),
      h("p", null, link(path("projects", code, "spaces", found.space.number), `Chart of space ${found.space.number}`), " · ",
        link(withQuery(path("projects", code, "findings"), { space: found.space.number }), "Its interpretations"),
        mayWrite(project.role) && [" · ", link(withQuery(path("projects", code, "findings", "new"), found.element ? { subject: "element", name: found.element.code } : { subject: "space", name: found.space.number }), "Write one")]),
      points(code, "contradictions", "Where they contradict each other", found.contradictions, "▲", "Nothing that is recorded here contradicts anything else."),
      h("div", { class: "sides" }, columns(found, left, right).map((side) => column(code, side))),
      points(code, "agreements", "Where they agree", found.agreements, "●", "Nothing yet has the word of two."),
      questions(code, found),
    ],
  };
}

/** The space and element of the address: by id, or a space by its number. @param {Visit} visit @param {string} code @param {Row[]} spaces */
async function placeOf(visit, code, spaces) {
  const element = visit.query.get("element") ?? "";
  const asked = visit.query.get("space") ?? "";
  if (element && !asked) {
    const found = (await all(code, "elements", { id: element, fields: "id,space" }, visit.signal))[0];
    return { space: String(found?.["space"] ?? ""), element };
  }
  const space = spaces.find((one) => one.id === asked || one["number"] === asked) ?? spaces[0];
  return { space: space?.id ?? "", element };
}

/**
 * @param {Visit} visit @param {string} code @param {Row[]} spaces @param {Row[]} elements
 * @param {{ space: string, element: string, left: string, right: string }} now @param {string[]} disciplines @param {Sides} found
 */
function controls(visit, code, spaces, elements, now, disciplines, found) {
  const go = (/** @type {Record<string, string>} */ more) => visit.go(withQuery(path("projects", code, "side-by-side"), { ...now, ...more }));
  const says = (/** @type {string} */ word) => (found.disciplines.includes(word) ? word : `${word}: nothing here`);
  const choices = /** @type {const} */ (["left", "right"]).map((name) => select(name === "left" ? "One discipline" : "The other", now[name],
    [["", "by kind of evidence"], ...disciplines.map((word) => /** @type {[string, string]} */ ([word, says(word)]))],
    // One alone compares nothing: the other is put beside it.
    (value) => go({ [name]: value, ...(value === "" ? { left: "", right: "" } : now[name === "left" ? "right" : "left"] ? {} : { [name === "left" ? "right" : "left"]: found.disciplines.find((one) => one !== value) ?? disciplines.find((one) => one !== value) ?? "" }) })));
  return h("form", { class: "search sidechoice", "aria-label": "What is compared", onsubmit: (/** @type {Event} */ event) => event.preventDefault() },
    select("Space", now.space, spaces.map((one) => [one.id, [one["number"], one["name"]].filter(Boolean).join(" ")]), (value) => go({ space: value, element: "" })),
    select("Element", now.element, [["", "the whole space"], ...elements.map((one) => /** @type {[string, string]} */ ([one.id, `${one["code"]}, ${one["element_class"]}`]))], (value) => go({ element: value })),
    choices);
}

/** @param {string} label @param {string} now @param {(readonly [string, string])[]} offers @param {(value: string) => void} chosen */
function select(label, now, offers, chosen) {
  const id = newId("side");
  return h("div", { class: "field" }, h("label", { for: id }, label),
    h("select", { id, onchange: (/** @type {Event} */ event) => chosen(/** @type {HTMLSelectElement} */ (event.target).value) },
      offers.map(([value, text]) => h("option", { value, selected: value === now }, text))));
}

/** @param {string} code @param {Side} side */
function column(code, side) {
  const id = newId("column");
  const silent = !side.generations?.length && side.evidence.length + side.said.length + side.questions.length + side.readings.length === 0;
  return h("section", { class: "side", "aria-labelledby": id }, h("h2", { id }, capital(side.title)),
    silent && h("p", { class: "empty" }, "Says nothing of this yet."),
    side.readings.length > 0 && [h("h3", null, "Readings of elements"), h("ul", null, side.readings.map((one) => h("li", null, link(path("projects", code, "registers", "elements", one.element_id), one.element), ": ", one.sentence)))],
    side.evidence.length > 0 && [h("h3", null, "Evidence"), h("ul", { class: "related" }, side.evidence.map((one) => evidence(code, one)))],
    side.said.length > 0 && [h("h3", null, "Interpretations"), h("ul", { class: "related" }, side.said.map((one) => said(code, one)))],
    side.questions.length > 0 && [h("h3", null, "Asked of it"), h("ul", { class: "related" }, side.questions.map((one) => question(code, one)))],
    side.generations && side.generations.length > 0 && [h("h3", null, "Generations"), generations(code, side)]);
}

/** @param {string} code @param {Side} side */
function generations(code, side) {
  const rows = [...(side.generations ?? [])].reverse().map((one) => [
    h("span", null, one.name, (one.label || one.phase) && h("span", { class: "hint" }, ` ${[one.label, one.phase].filter(Boolean).join("; ")}`)),
    h("span", null, years(one.earliest, one.latest) || h("span", { class: "blank" }, "no bound"), bounded(code, one)),
    one.layers ? [count(one.layers, "layer"), one.least_confidence !== null && `, the least sure ${placement(one.least_confidence)} (${percent(one.least_confidence)})`].filter(Boolean).join("") : "no layer here",
  ]);
  return table("Generations, newest first", ["Generation", "Years", "Shown by"], rows);
}

/** @param {string} code @param {import("../model/findings.js").PaintGeneration} one */
function bounded(code, one) {
  const records = by(code, [...one.earliest_by, ...one.latest_by]);
  return records.length > 0 && h("span", { class: "hint" }, " by ", records);
}

/** The records that set bounds, each once. @param {string} code @param {readonly import("../model/findings.js").Step[]} steps */
function by(code, steps) {
  const records = [...new Map(steps.filter((one) => one.id && one.kind !== "order" && one.kind !== "generation").map((one) => [one.key, one])).values()];
  return records.flatMap((one, index) => {
    const href = pageOf(code, one.kind === "material" ? "layer" : one.kind, one.id, one.key);
    return [index ? ", " : "", href ? link(href, one.key) : one.key];
  });
}

/** @param {string} code @param {import("../model/findings.js").Evidence} one */
function evidence(code, one) {
  const of = one.target ? `${one.bears_on} ${one.target}` : one.bears_on === "structure" ? "the whole structure" : one.bears_on;
  return h("li", null, link(path("projects", code, "registers", "evidence", one.id), one.reference), " ",
    h("span", { class: "hint" }, [one.kind, of, whenTold(one)].filter(Boolean).join("; ")), ": ", one.statement);
}

/** @param {string} code @param {import("../model/findings.js").Said} one */
function said(code, one) {
  return h("li", null, link(path("projects", code, "findings", one.number), `Interpretation ${one.number}`), " ", stateOf(stateMark(one.state)), " ",
    h("span", { class: "hint" }, [one.author, one.certainty].filter(Boolean).join(", "), "; ", subjectLink(code, one)), ": ", one.statement,
    one.state === "disputed" && h("p", { class: "reason" }, `${one.state_by}: ${one.state_reason}`));
}

/** @param {string} code @param {string} id @param {string} title @param {Point[]} found @param {string} mark @param {string} none */
function points(code, id, title, found, mark, none) {
  return h("section", { "aria-labelledby": id }, h("h2", { id }, title),
    found.length === 0 ? h("p", null, none) : h("ul", { class: "conflicts" }, found.map((one) => h("li", null,
      h("p", null, h("span", { class: "mark", "aria-hidden": "true" }, mark), " ", one.sentence),
      h("p", { class: "records" }, "Records: ", one.records.flatMap((record, index) => {
        const name = `${record.type} ${record.name}`;
        const href = pageOf(code, record.type, record.id, record.name);
        return [index ? ", " : "", href ? link(href, name) : name, record.discipline && ` (${record.discipline})`];
      }))))));
}

/** @param {string} code @param {Sides} found */
function questions(code, found) {
  return h("section", { "aria-labelledby": "asked" }, h("h2", { id: "asked" }, "Open questions"),
    found.questions.length === 0 ? h("p", null, "Nothing is asked here that is not answered.") : h("ul", { class: "related" }, found.questions.map((one) => question(code, one))));
}

/** @param {string} code @param {import("../model/findings.js").Asked} one */
function question(code, one) {
  const name = `${one.about_type} ${one.about_name ?? ""}`;
  const href = pageOf(code, one.about_type, one.about_id, one.about_name ?? "");
  return h("li", null, h("span", { class: "hint" }, `Question ${one.number}, ${one.asked_by} to ${one.to}, about `, href ? link(href, name) : name, one.needed_by && `; needed by ${one.needed_by}`), ": ", one.text);
}
