/** One schedule as it follows from the record now: its rows, what one adds to them, its issue. */

import { change, create, project as readProject } from "../../api/records.js";
import * as api from "../../api/schedules.js";
import { path, withQuery } from "../../lib/paths.js";
import { count } from "../../lib/words.js";
import { Problem } from "../../model/problems.js";
import { mayManage, mayTalk, mayWrite } from "../../model/roles.js";
import { PURPOSES, ROW_FIELDS, additionsOf, asOf, differenceInWords, narrowed } from "../../model/schedules.js";
import { button, h, link, newId, refill } from "../parts/dom.js";
import { historyFold } from "../parts/history.js";
import { recordForm } from "../parts/form.js";
import { busy, purpose, refusals } from "../parts/say.js";
import { freshness, watch } from "../parts/watching.js";
import { issueTable } from "../schedules.js";
import { threads } from "../parts/threads.js";
import { review } from "./review.js";
import { cautionList, marksList, rowTables } from "./rows.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/schedules.js").Schedule} Schedule */
/** @typedef {import("../../model/schedules.js").Draft} Draft */
/** @typedef {import("../../model/schedules.js").FinishRow} FinishRow */

const RESTS_ON = ["space", "element", "sample", "layer", "generation", "phase", "evidence", "interpretation", "schedule", "schedulerow", "scheduleissue"];

/** @type {import("../parts/visit.js").Screen} */
export async function scheduleScreen(visit) {
  const code = visit.params["code"] ?? "";
  const number = Number(visit.params["number"]);
  const [project, all] = await Promise.all([readProject(code, visit.signal), api.schedules(code, visit.signal)]);
  const schedule = all.find((one) => one.number === number);
  if (!schedule) throw new Problem(404, "not-found", `There is no schedule ${visit.params["number"]} in ${code}.`);
  const [draft, issues] = await Promise.all([api.draft(code, schedule.id, visit.signal), api.issues(code, visit.signal)]);
  const wanted = { space: visit.query.get("space"), mark: visit.query.get("mark") };
  const shown = narrowed(draft.rows, wanted);
  const writes = mayWrite(project.role);
  const gaps = draft.rows.filter((row) => row.state === "no evidence").length;
  const cautions = cautionList(draft.cautions);
  const out = issues.filter((one) => one.schedule === schedule.id);
  return {
    title: `Schedule ${schedule.number}: ${schedule.title}`,
    project,
    here: "schedules",
    body: [
      purpose("Each element's finish as the record has it now, with how surely and on what it rests. Nothing goes out until it is issued."),
      h("p", null, `As of ${asOf(schedule)}. ${count(draft.rows.length, "row")}, ${gaps} of them without evidence. ${schedule.notes}`),
      review(visit, code, schedule, mayTalk(project.role)),
      freshness(visit, code, project.cursor, RESTS_ON),
      deeds(visit, code, schedule, draft, mayManage(project.role)),
      out.length > 0 && changesSince(draft),
      cautions.warning,
      marksList(draft, (mark) => link(withQuery(location.pathname, { ...wanted, mark: wanted.mark === mark ? null : mark }), mark)),
      choice(visit, draft, wanted),
      shown.length === 0 ? h("p", { class: "empty" }, draft.rows.length ? "No row is like that." : "There is no element yet, so there is nothing to paint.") : null,
      ...rowTables(shown, writes ? (row) => editButton(visit, code, schedule, row) : undefined),
      cautions.whole,
      h("section", { "aria-labelledby": "issued" }, h("h2", { id: "issued" }, "Issues of this schedule"), issueTable(code, out)),
      h("section", { "aria-labelledby": "said" }, h("h2", { id: "said" }, "What is said about it"), threads({ visit, project, type: "schedule", id: schedule.id })),
      historyFold({ code, signal: visit.signal, id: schedule.id }, "Its history"),
    ],
  };
}

/** @param {Visit} visit @param {Draft} draft @param {{ space: string | null, mark: string | null }} wanted */
function choice(visit, draft, wanted) {
  const id = newId("space");
  const spaces = [...new Map(draft.rows.map((row) => [row.space, row.space_name])).entries()];
  const select = h("select", { id, onchange: () => visit.go(withQuery(location.pathname, { ...wanted, space: select.value })) },
    h("option", { value: "" }, "all spaces"), spaces.map(([space, name]) => h("option", { value: space }, name ? `${space}, ${name}` : space)));
  select.value = wanted.space ?? "";
  return h("p", { class: "buttons" }, h("label", { for: id }, "Show"), select, wanted.mark && h("span", null, `only rows marked “${wanted.mark}” `, link(withQuery(location.pathname, { space: wanted.space }), "show all")));
}

/** @param {Draft} draft */
function changesSince(draft) {
  if (draft.changes.length === 0) return h("p", { class: "hint" }, "Nothing has changed since it last went out.");
  return h("details", { class: "box" }, h("summary", null, `${count(draft.changes.length, "change")} since it last went out`),
    h("ul", null, draft.changes.map((one) => h("li", null, link(`#row-${one.element}`, one.element), `, ${differenceInWords(one)}`))));
}

/** @param {Visit} visit @param {string} code @param {Schedule} schedule @param {FinishRow} row */
function editButton(visit, code, schedule, row) {
  const open = button("Edit", () => {
    const dialog = h("dialog", { class: "rowdialog", "aria-label": `Row of ${row.element}` });
    const existing = row.row_id ? additionsOf(row) : null;
    const close = () => {
      visit.unsaved(false);
      dialog.close();
    };
    dialog.append(h("h2", null, `${row.element}, ${row.element_class}`), h("p", { class: "hint" }, row.sentence), recordForm({
      fields: ROW_FIELDS, row: existing, words: {}, resolve: async () => null, unsaved: visit.unsaved, leave: close, button: "Save the row",
      save: (values, current) => current
        ? change(code, "schedule-rows", /** @type {import("../../model/types.js").Row} */ (current), values)
        : create(code, "schedule-rows", { ...values, schedule: schedule.id, element: row.element_id }),
      saved: () => {
        close();
        visit.reload();
      },
    }));
    dialog.addEventListener("close", () => {
      dialog.remove();
      open.focus();
    });
    document.body.append(dialog);
    dialog.showModal();
    dialog.querySelector("input")?.focus();
  }, { class: "quiet", "aria-label": `Edit the row of ${row.element}` });
  return open;
}

/** @param {Visit} visit @param {string} code @param {Schedule} schedule @param {Draft} draft @param {boolean} coordinator */
function deeds(visit, code, schedule, draft, coordinator) {
  const place = h("div");
  const problem = refusals();
  const paper = h("select", { id: newId("paper") }, h("option", { value: "A3" }, "A3"), h("option", { value: "tabloid" }, "tabloid (11 × 17 in)"));
  const files = button("Files of the draft", () => busy(files, problem, async () => {
    const job = await api.ask(code, "schedule", { schedule: schedule.id, paper: paper.value });
    refill(place, watch(visit, code, job, (ended) => ended.state === "done" && place.querySelector("a")?.focus()));
  }));
  const box = h("div");
  const issue = button(`Issue revision ${draft.next_revision} …`, () => {
    refill(box, issueForm(visit, code, schedule, draft, paper, box));
    box.querySelector("select")?.focus();
  }, { class: "main" });
  return h("div", { class: "deeds" }, h("p", { class: "buttons" }, files, h("label", { for: paper.id }, "on"), paper, coordinator && issue), problem.place, place, box);
}

/** @param {Visit} visit @param {string} code @param {Schedule} schedule @param {Draft} draft @param {HTMLSelectElement} paper @param {HTMLElement} box */
function issueForm(visit, code, schedule, draft, paper, box) {
  const [purposeId, dateId, noteId] = [newId("purpose"), newId("date"), newId("note")];
  const aim = h("select", { id: purposeId }, PURPOSES.map((one) => h("option", { value: one }, one)));
  const date = h("input", { id: dateId, type: "date", value: today(), required: true });
  const note = h("textarea", { id: noteId, rows: 2 });
  const problem = refusals();
  const place = h("div");
  const unsettled = draft.rows.filter((row) => row.marks.includes("not agreed") || row.marks.includes("disputed")).length;
  const said = h("p", { class: "hint" }, unsettled ? `${count(unsettled, "row")} without an agreed interpretation will say so on the row.` : "All rows rest on agreed interpretations.");
  const send = h("button", { type: "submit", class: "main" }, `Issue revision ${draft.next_revision}`);
  return h("form", { class: "record box", "aria-label": "Issue", onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    busy(send, problem, async () => {
      const job = await api.ask(code, "issue-schedule", { schedule: schedule.id, purpose: aim.value, issued_on: date.value, note: note.value, paper: paper.value });
      refill(place, watch(visit, code, job, (ended) => {
        if (ended.state === "done" && ended.result) visit.go(path("projects", code, "issues", ended.result.issue));
      }));
    });
  } },
    h("div", { class: "fields" },
      h("div", { class: "field" }, h("label", { for: purposeId }, "Purpose"), aim),
      h("div", { class: "field" }, h("label", { for: dateId }, "Date"), date),
      h("div", { class: "field wide" }, h("label", { for: noteId }, "Note"), note)),
    said, h("p", { class: "hint" }, "An issue is frozen: it never changes, and the contractor sees it at once."), problem.place,
    h("p", { class: "buttons" }, send, button("Cancel", () => refill(box), { class: "quiet" })), place);
}

/** Today where the person is, as a date field has it. */
function today() {
  const now = new Date();
  return [now.getFullYear(), String(now.getMonth() + 1).padStart(2, "0"), String(now.getDate()).padStart(2, "0")].join("-");
}
