/** One issue of a schedule, as it went out; and what of its ground has changed since. */

import { project as readProject } from "../../api/records.js";
import * as api from "../../api/schedules.js";
import { count, list } from "../../lib/words.js";
import { maySee } from "../../model/roles.js";
import { differenceInWords, issueName } from "../../model/schedules.js";
import { h } from "../parts/dom.js";
import { purpose } from "../parts/say.js";
import { fileLinks } from "./files.js";
import { remarksOf } from "./remarks.js";
import { cautionList, marksList, rowTables } from "./rows.js";

/** @typedef {import("../../model/schedules.js").ChangedRow} ChangedRow */

/** @type {import("../parts/visit.js").Screen} */
export async function issueScreen(visit) {
  const code = visit.params["code"] ?? "";
  const id = visit.params["id"] ?? "";
  const [project, whole] = await Promise.all([readProject(code, visit.signal), api.issue(code, id, visit.signal)]);
  const since = maySee(project.role) ? await api.changedSince(code, id, visit.signal) : [];
  const told = new Map(since.map((row) => [row.element, inWords(row)]));
  const { issue, content, changes } = whole;
  const cautions = cautionList(content.cautions);
  return {
    title: issueName(issue),
    project,
    here: "schedules",
    body: [
      purpose("What went out, as it went out. It never changes; what changed in the record since is said beside it."),
      h("p", null, `${content.title}, as of ${content.as_of}. Issued ${issue.purpose} on ${issue.issued_on} by ${issue.created_by}. ${issue.note}`),
      fileLinks(issue.files),
      since.length > 0 && h("p", { class: "box", role: "status" }, `▲ Changed since issue: the record behind ${count(since.length, "row")} (${list(since.map((row) => row.element).slice(0, 8))}${since.length > 8 ? " …" : ""}).`),
      changes.length > 0 && h("details", null, h("summary", null, `${count(changes.length, "change")} from the issue before`), h("ul", null, changes.map((one) => h("li", null, `${one.element}, ${differenceInWords(one)}`)))),
      cautions.warning,
      marksList(content, (mark) => h("strong", null, mark)),
      ...rowTables(content.rows, undefined, told),
      cautions.whole,
      await remarksOf(code, id, visit.signal),
    ],
  };
}

/** @param {ChangedRow} row */
function inWords(row) {
  return list(row.changes.slice(-3).map((one) => `${one.record_type} ${one.record} ${one.action}${one.fields.length ? ` (${list(one.fields.map((name) => name.replaceAll("_", " ")))})` : ""} by ${one.by}`));
}
