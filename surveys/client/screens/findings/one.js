/** One interpretation: what it says and rests on, how its review stands, and what may be done with it. */

import { interpretation, review as readReview } from "../../api/findings.js";
import { all, project as readProject, withdraw } from "../../api/records.js";
import { path, withQuery } from "../../lib/paths.js";
import { ago, moment } from "../../lib/words.js";
import { moveTold, stateMark } from "../../model/findings.js";
import { mayWrite } from "../../model/roles.js";
import { h, link, stateOf, time } from "../parts/dom.js";
import { historyFold } from "../parts/history.js";
import { announce, askedButton, busy, purpose, refusals } from "../parts/say.js";
import { threads } from "../parts/threads.js";
import { attachmentsSection } from "../pictures/attachments.js";
import { freshness } from "../parts/watching.js";
import { citationLink, relatedList, subjectLink } from "./links.js";
import { moves, reviewers } from "./review.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */
/** @typedef {import("../../model/findings.js").Interpretation} Interpretation */
/** @typedef {import("../../model/findings.js").Review} Review */

// What its review rests on: another's word, or a change of what it cites.
const FRESH = ["interpretation", "layer", "sample", "evidence", "reviewrequest"];

/** @type {import("../parts/visit.js").Screen} */
export async function findingScreen(visit) {
  const code = visit.params["code"] ?? "";
  const [project, one] = await Promise.all([readProject(code, visit.signal), interpretation(code, visit.params["number"] ?? "", visit.signal)]);
  const [review, members] = await Promise.all([readReview(code, one.id, visit.signal), all(code, "members", {}, visit.signal)]);
  return {
    title: `Interpretation ${one.number}`,
    project,
    here: "findings",
    body: [
      purpose("What somebody concludes, what it rests on, and who agrees. Whoever disputes it says why, in its thread."),
      h("p", null, link(path("projects", code, "findings"), "All interpretations")),
      freshness(visit, code, project.cursor, FRESH),
      standing(one),
      h("p", { class: "finding" }, one.statement),
      facts(code, one, review),
      cites(code, one, review),
      moves(visit, code, one, review),
      deeds(visit, project, one, review),
      reviewers(visit, code, one, review, members),
      attachmentsSection(visit, project, "interpretation", one.id),
      h("section", { "aria-labelledby": "said" }, h("h2", { id: "said" }, "What is said about it"), threads({ visit, project, type: "interpretation", id: one.id })),
      happened(review),
      historyFold({ code, signal: visit.signal, id: one.id, changed: visit.reload }, "All changes to it"),
      review.cited_by.length > 0 && h("section", { "aria-labelledby": "citing" }, h("h2", { id: "citing" }, "What rests on it"), relatedList(code, review.cited_by)),
    ],
  };
}

/** @param {Interpretation} one */
function standing(one) {
  const by = one.state_by && one.state_at ? h("span", { class: "by" }, " by ", one.state_by, " ", time(one.state_at, ago(one.state_at, Date.now()), moment(one.state_at))) : null;
  return h("div", { class: "standingnow" }, h("p", null, stateOf(stateMark(one.state)), by), one.state_reason && h("p", { class: "reason" }, one.state_reason));
}

/** @param {string} code @param {Interpretation} one @param {Review} review */
function facts(code, one, review) {
  const number = (/** @type {number} */ value) => link(path("projects", code, "findings", value), `interpretation ${value}`);
  const told = /** @type {const} */ ([
    ["About", subjectLink(code, one)],
    ["Discipline", one.discipline],
    ["Author", one.created_by],
    ["Certainty", one.certainty],
    ["Supersedes", one.supersedes_number ? number(one.supersedes_number) : ""],
    [one.state === "superseded" ? "Superseded by" : "Would be superseded by", review.superseded_by.length ? h("span", null, review.superseded_by.flatMap((other, index) => [index ? ", " : "", number(other.number)])) : ""],
  ]);
  const sides = one.within_number ? link(withQuery(path("projects", code, "side-by-side"), { space: one.within ?? "" }), `What each discipline says of space ${one.within_number}`) : null;
  return h("div", null, h("dl", { class: "told" }, told.filter(([, value]) => value !== "").flatMap(([name, value]) => [h("dt", null, name), h("dd", null, value)])), sides && h("p", null, sides));
}

/** @param {string} code @param {Interpretation} one @param {Review} review */
function cites(code, one, review) {
  const changed = new Set(review.changed.map((line) => line.id));
  return h("section", { "aria-labelledby": "cites" }, h("h2", { id: "cites" }, "What it rests on"),
    one.citations.length === 0 ? h("p", { class: "empty" }, "It cites nothing yet.")
      : h("ul", { class: "cites" }, one.citations.map((cite) => h("li", null, citationLink(code, cite), cite.state && [" ", stateOf(stateMark(cite.state))],
        cite.note && `: ${cite.note}`, changed.has(cite.id) && h("strong", null, " ◑ changed since"))),
      ),
    review.changed.length > 0 && h("details", { open: true }, h("summary", null, "What changed in it since a person last wrote or moved this"),
      h("ul", { class: "changes" }, review.changed.map((line) => h("li", null, `${line.changed}: `, line.fields.length ? line.fields.map((field) => field.replaceAll("_", " ")).join(", ") : line.action,
        ", ", line.actor, " ", time(line.at, ago(line.at, Date.now()), moment(line.at)))))));
}

/** @param {Visit} visit @param {Project} project @param {Interpretation} one @param {Review} review */
function deeds(visit, project, one, review) {
  const { code } = project;
  const problem = refusals();
  const supersede = mayWrite(project.role) && one.state !== "working" && one.state !== "superseded";
  return h("div", { class: "deeds" }, h("p", { class: "buttons" },
    review.may_write && h("a", { class: "button", href: path("projects", code, "findings", one.number, "edit") }, "Change it"),
    supersede && h("a", { class: "button", href: withQuery(path("projects", code, "findings", "new"), { supersedes: one.number, cites: `interpretation:${one.id}` }) }, "Write one that supersedes it"),
    review.may_write && one.state === "working" && askedButton("Remove this draft", "Remove it? A coordinator can bring it back.", "Remove", (pressed) => busy(pressed, problem, async () => {
      await withdraw(code, "interpretations", one);
      announce("Removed.");
      visit.go(path("projects", code, "findings"), { replace: true });
    }))), problem.place);
}

/** @param {Review} review */
function happened(review) {
  if (review.made.length === 0) return null;
  return h("section", { "aria-labelledby": "moves" }, h("h2", { id: "moves" }, "How it came to this"),
    h("ol", { class: "changes" }, review.made.map((move) => h("li", null, stateOf(stateMark(move.to)), " – ", moveTold(move), ", ",
      time(move.at, ago(move.at, Date.now()), moment(move.at)), move.reason && h("span", { class: "reason" }, `: ${move.reason}`)))));
}
