/** Schedules: for which year or phase the finishes are told, and what went out. */

import { create, idOf, project as readProject } from "../api/records.js";
import * as api from "../api/schedules.js";
import { path } from "../lib/paths.js";
import { mayManage, maySee, mayWrite } from "../model/roles.js";
import { SCHEDULE_FIELDS, asOf } from "../model/schedules.js";
import { button, h, link, refill } from "./parts/dom.js";
import { recordForm } from "./parts/form.js";
import { purpose } from "./parts/say.js";
import { table } from "./parts/table.js";
import { fileLinks } from "./schedules/files.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/schedules.js").Issue} Issue */

/** @type {import("./parts/visit.js").Screen} */
export async function schedulesScreen(visit) {
  const code = visit.params["code"] ?? "";
  const project = await readProject(code, visit.signal);
  const issued = api.issues(code, visit.signal);
  if (!maySee(project.role)) {
    return { title: "Schedules", project, here: "schedules", body: [purpose("What you are to paint, as it was issued to you."), issueTable(code, await issued)] };
  }
  const [found, out] = await Promise.all([api.schedules(code, visit.signal), issued]);
  return {
    title: "Schedules",
    project,
    here: "schedules",
    body: [
      purpose("Which finish goes where, as of a year or of a phase, for the contractor. A schedule follows from the record until it is issued; an issue never changes."),
      table("Schedules", ["Number", "Title", "As of", "State", "Issued", "Notes"], found.map((one) => [
        link(path("projects", code, "schedules", one.number), `Schedule ${one.number}`), one.title, asOf(one), one.state,
        one.issue_count ? `${one.issue_count} ×` : "not yet", one.notes,
      ]), { empty: "There is no schedule yet." }),
      mayWrite(project.role) && newSchedule(visit, code),
      h("section", { "aria-labelledby": "issued" }, h("h2", { id: "issued" }, "What went out"), issueTable(code, out)),
      mayManage(project.role) && h("p", { class: "hint" }, "A coordinator issues a schedule on its own page."),
    ],
  };
}

/** @param {Visit} visit @param {string} code */
function newSchedule(visit, code) {
  const place = h("div");
  const open = button("New schedule", () => {
    refill(place, recordForm({
      fields: SCHEDULE_FIELDS, row: null, words: {}, unsaved: visit.unsaved, leave: () => refill(place, open), button: "Make the schedule",
      resolve: (field, name) => idOf(code, field.refers ?? "", field.human ?? "", name),
      save: (values) => create(code, "schedules", values),
      saved: (row) => visit.go(path("projects", code, "schedules", Number(row["number"]))),
    }));
    place.querySelector("input")?.focus();
  });
  refill(place, open);
  return place;
}

/** @param {string} code @param {readonly Issue[]} issues newest first */
export function issueTable(code, issues) {
  return table("Issues", ["Issue", "Title", "Date", "Purpose", "By", "Note", "Files"], issues.map((one) => [
    link(path("projects", code, "issues", one.id), `Schedule ${one.schedule_number}, revision ${one.revision}`), one.schedule_title, h("span", { class: "date" }, one.issued_on), one.purpose,
    one.created_by, one.note, fileLinks(one.files),
  ]), { empty: "Nothing has been issued yet." });
}
