/** Writing an interpretation: what it is about, what it says, what it rests on. */

import { interpretation, named } from "../../api/findings.js";
import { change, create, idOf, project as readProject, record, vocabulary } from "../../api/records.js";
import { path, withQuery } from "../../lib/paths.js";
import { citesAsked, sameCites, sent, SUBJECTS } from "../../model/findings.js";
import { Problem } from "../../model/problems.js";
import { h, link } from "../parts/dom.js";
import { recordForm } from "../parts/form.js";
import { purpose } from "../parts/say.js";
import { citationPicker } from "./citations.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/findings.js").Interpretation} Interpretation */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {Record<string, unknown>} Values */

/** @type {readonly import("../../model/fields.js").Field[]} */
const FIELDS = [
  { name: "subject", label: "About a", type: "word", words: "subjects", required: true },
  { name: "subject_name", label: "Which one", required: true, hint: "A space's number, an element's code, a generation as 101/3, a phase's number, or a layer as K-014/3." },
  { name: "discipline", label: "Discipline", type: "word", words: "disciplines", required: true, hint: "From which it is said." },
  { name: "certainty", label: "Certainty", type: "word", words: "certainties" },
  { name: "statement", label: "Finding", type: "long", required: true, hint: "What you conclude; what you saw stands in the records that you cite." },
];
// Where each kind of subject is found by its name.
const NAMED = /** @type {Record<string, [collection: string, field: string]>} */ ({
  space: ["spaces", "number"], element: ["elements", "code"], generation: ["generations", "name"], phase: ["phases", "ordinal"], layer: ["layers", "name"],
});

/** @type {import("../parts/visit.js").Screen} */
export async function newFindingScreen(visit) {
  const code = visit.params["code"] ?? "";
  const [project, words, cites, subject, older] = await Promise.all([
    readProject(code, visit.signal), vocabulary(), named(code, citesAsked(visit.query.get("cites")), visit.signal), aboutOf(visit, code), olderOf(visit, code),
  ]);
  const begun = { discipline: project.discipline, subject: older?.subject ?? subject.subject, subject_name: older?.subject_name ?? subject.subject_name };
  return {
    title: "New interpretation",
    project,
    here: "findings",
    body: [
      purpose("A finding that you put your name to. It begins as your draft; put it up for comment when it cites what it rests on."),
      older && h("p", { class: "box" }, "This is to supersede ", link(path("projects", code, "findings", older.number), `interpretation ${older.number}`),
        `: it takes its place once somebody else agrees to it. “${older.statement}”`),
      form(visit, code, words, null, begun, cites, older?.id ?? null, path("projects", code, "findings")),
    ],
  };
}

/** @type {import("../parts/visit.js").Screen} */
export async function editFindingScreen(visit) {
  const code = visit.params["code"] ?? "";
  const [project, words, one] = await Promise.all([readProject(code, visit.signal), vocabulary(), interpretation(code, visit.params["number"] ?? "", visit.signal)]);
  const back = path("projects", code, "findings", one.number);
  return {
    title: `Change interpretation ${one.number}`,
    project,
    here: "findings",
    body: [
      purpose("Only its author changes an interpretation."),
      one.state === "agreed" && h("p", { class: "box" }, "It is agreed. If you change what it says or cites, it is for comment again, and its thread says so."),
      h("p", null, link(back, "Back to it")),
      one.author === visit.person?.username ? form(visit, code, words, one, {}, one.citations, null, back)
        : h("p", { class: "box" }, `It is ${one.created_by}'s. Dispute it, or `, link(withQuery(path("projects", code, "findings", "new"), { supersedes: one.number, cites: `interpretation:${one.id}` }), "write one that supersedes it"), "."),
    ],
  };
}

/** What the address says that it is about. @param {Visit} visit @param {string} code */
async function aboutOf(visit, code) {
  const [kind, id] = [visit.query.get("subject") ?? "", visit.query.get("about") ?? ""];
  const found = NAMED[kind];
  if (!found || !id) return { subject: kind in NAMED ? kind : "", subject_name: visit.query.get("name") ?? "" };
  const row = await record(code, found[0], id, visit.signal);
  return { subject: kind, subject_name: String(row[found[1]]) };
}

/** @param {Visit} visit @param {string} code */
async function olderOf(visit, code) {
  const number = visit.query.get("supersedes");
  return number ? interpretation(code, number, visit.signal) : null;
}

/**
 * @param {Visit} visit @param {string} code @param {Record<string, string[]>} words @param {Interpretation | null} one @param {Values} begun
 * @param {readonly import("../../model/findings.js").Citation[]} cites @param {string | null} supersedes @param {string} back
 */
function form(visit, code, words, one, begun, cites, supersedes, back) {
  const before = one ? one.citations : [];
  const picker = citationPicker({ code, cites, self: one?.id ?? null, signal: visit.signal, changed: () => visit.unsaved(true) });
  return recordForm({
    fields: FIELDS, row: /** @type {Row | null} */ (/** @type {unknown} */ (one)), begun, words: { ...words, subjects: [...SUBJECTS] }, resolve: async () => null,
    leave: () => visit.go(back), unsaved: visit.unsaved, inside: picker.element, more: () => !sameCites(before, picker.cites()),
    save: async (values, current) => {
      const told = await withSubject(code, values, current);
      const body = { ...told, ...(current && sameCites(before, picker.cites()) ? {} : { citations: sent(picker.cites()) }), ...(supersedes ? { supersedes } : {}) };
      return current ? change(code, "interpretations", /** @type {Row} */ (current), body) : create(code, "interpretations", body);
    },
    saved: (saved) => visit.go(path("projects", code, "findings", Number(saved["number"])), { replace: one !== null }),
  });
}

/** The subject by its id in the field of its kind, and none in the others. @param {string} code @param {Values} values @param {Values | null} current */
async function withSubject(code, values, current) {
  const { subject_name: typed, ...rest } = values;
  if (typed === undefined && values["subject"] === undefined) return rest;
  const kind = String(values["subject"] ?? current?.["subject"] ?? "");
  const name = String(typed ?? current?.["subject_name"] ?? "");
  const found = NAMED[kind];
  if (!found) return rest;
  const id = await idOf(code, found[0], found[1], name);
  if (!id) {
    const text = `There is no ${kind} “${name}” here.`;
    throw new Problem(422, "not-found", text, [{ pointer: "/subject_name", code: "not-found", detail: text }]);
  }
  return { ...rest, subject: kind, ...Object.fromEntries(SUBJECTS.map((one) => [one, one === kind ? id : null])) };
}
