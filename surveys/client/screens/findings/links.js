/** Links between interpretations and what they are about, cite, and are cited by. */

import { concerning, interpretations } from "../../api/findings.js";
import { isStop } from "../../api/http.js";
import { path, withQuery } from "../../lib/paths.js";
import { newAddress, pageOf, stateMark } from "../../model/findings.js";
import { mayWrite } from "../../model/roles.js";
import { h, link, refill, stateOf } from "../parts/dom.js";
import { refusals } from "../parts/say.js";

/** @typedef {import("../../model/findings.js").Interpretation} Interpretation */
/** @typedef {import("../../model/findings.js").Related} Related */

/** @param {string} code @param {import("../../model/findings.js").Citation} cite */
export function citationLink(code, cite) {
  const name = `${cite.type} ${cite.name}`;
  const href = pageOf(code, cite.type, cite.id, cite.name);
  return href ? link(href, name) : name;
}

const SHOWN = 6;

/** What it is about. @param {string} code @param {Pick<Interpretation, "subject" | "subject_name"> & Partial<Interpretation>} one */
export function subjectLink(code, one) {
  const name = `${one.subject} ${one.subject_name}`;
  const id = /** @type {string | null} */ (/** @type {any} */ (one)[one.subject] ?? null);
  if (one.subject === "space") return link(path("projects", code, "spaces", one.subject_name), name);
  const href = pageOf(code, one.subject, id, one.subject_name);
  return href ? link(href, name) : name;
}

/** @param {string} code @param {readonly Pick<Related, "number" | "state" | "discipline" | "statement">[]} found */
export function relatedList(code, found) {
  return h("ul", { class: "related" }, found.map((one) => h("li", null,
    link(path("projects", code, "findings", one.number), `Interpretation ${one.number}`), " ", stateOf(stateMark(one.state)), " ",
    h("span", { class: "hint" }, one.discipline), ": ", one.statement.length > 200 ? `${one.statement.slice(0, 198)} …` : one.statement)));
}

/**
 * On Standing: what somebody disputes; nothing, where nobody does.
 * @param {import("../parts/visit.js").Visit} visit @param {import("../../model/types.js").Project} project
 */
export function disputes(visit, { code }) {
  const place = h("div");
  const section = h("section", { "aria-labelledby": "disputes", hidden: true }, h("h2", { id: "disputes" }, "Disputed interpretations"), place);
  interpretations(code, { state: "disputed" }, null, visit.signal).then(({ results, count }) => {
    section.hidden = results.length === 0;
    refill(place, relatedList(code, results.slice(0, SHOWN)), (count ?? results.length) > SHOWN && h("p", null, link(withQuery(path("projects", code, "findings"), { state: "disputed" }), "All that are disputed")));
  }).catch((error) => {
    if (isStop(error)) return;
    const problem = refusals();
    section.hidden = false;
    refill(place, problem.place);
    problem.show(error);
  });
  return section;
}

/**
 * On a record's page: what was concluded of it, and the way to conclude something.
 * @param {import("../parts/visit.js").Visit} visit @param {import("../../model/types.js").Project} project @param {string} type @param {string} id
 */
export function findingsOf(visit, project, type, id) {
  const { code } = project;
  const place = h("div", null, h("p", null, "Looking for interpretations …"));
  const problem = refusals();
  const cites = ["sample", "layer", "evidence"].includes(type);
  concerning(code, id, visit.signal).then((found) => {
    refill(place, found.length === 0 ? h("p", { class: "empty" }, "No interpretation is about this or cites it.") : relatedList(code, found));
  }).catch((error) => {
    if (isStop(error)) return;
    refill(place, problem.place);
    problem.show(error);
  });
  /** @type {Record<string, string>} */
  const about = ["space", "element", "generation", "phase", "layer"].includes(type) ? { subject: type, about: id } : {};
  return h("section", { "aria-labelledby": "findings" }, h("h2", { id: "findings" }, "Interpretations"), place,
    h("p", { class: "buttons" },
      mayWrite(project.role) && link(newAddress(code, cites ? [{ type, id }] : [], about), cites ? "Write one that cites this" : "Write one about this"), " ",
      (type === "space" || type === "element") && link(withQuery(path("projects", code, "side-by-side"), { [type]: id }), "What each discipline says of it, side by side")));
}
