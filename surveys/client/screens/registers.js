/** The page of one record, and of a new one. The registers themselves are grids (register/). */

import { change, create, project as readProject, record, vocabulary, withdraw } from "../api/records.js";
import { path } from "../lib/paths.js";
import { capital } from "../lib/words.js";
import { sheetKind } from "../model/sheet/columns.js";
import { placed } from "../model/told.js";
import { label, shown } from "../model/fields.js";
import { Problem } from "../model/problems.js";
import { register as registerOf } from "../model/registers.js";
import { mayWrite } from "../model/roles.js";
import { findingsOf } from "./findings/links.js";
import { h, link } from "./parts/dom.js";
import { recordForm } from "./parts/form.js";
import { history } from "./parts/history.js";
import { offers, resolver } from "./parts/references.js";
import { announce, askedButton, busy, purpose, refusals } from "./parts/say.js";
import { talkSection } from "./parts/talking.js";
import { attachmentsSection } from "./pictures/attachments.js";
import { measuredSection } from "./pictures/measured.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/registers.js").Register} Register */
/** @typedef {import("../model/types.js").Row} Row */
/** @typedef {import("../model/types.js").Project} Project */

/** @param {Visit} visit */
async function common(visit) {
  const code = visit.params["code"] ?? "";
  const register = registerOf(visit.params["register"] ?? "");
  if (!register) throw new Problem(404, "not-found", "There is no such register.");
  return { code, register, project: await readProject(code, visit.signal) };
}

/** @type {import("./parts/visit.js").Screen} */
export async function recordScreen(visit) {
  const { code, register, project } = await common(visit);
  const [row, lists, names] = await Promise.all([
    record(code, register.name, visit.params["id"] ?? "", visit.signal), words(project), offers(code, register.fields, visit.signal),
  ]);
  const read = await withNames(code, row);
  const back = path("projects", code, "registers", register.name);
  const name = String(read[register.key]);
  const body = mayWrite(project.role)
    ? [register.name === "layers" && inferred(code, row), formFor(visit, code, register, read, lists, names, () => visit.go(back)), removal(visit, code, register, row, back)]
    : [register.name === "layers" && inferred(code, row), readOnly(register, read)];
  return {
    title: `${capital(register.one)} ${name}`,
    project,
    here: "registers",
    body: [purpose(mayWrite(project.role) ? `All that is recorded of this ${register.one}. What you save is kept with your name.` : `All that is recorded of this ${register.one}.`),
      h("p", null, link(back, `All ${register.title.toLowerCase()}`)), ...body,
      register.name === "layers" && measuredSection(visit, code, row.id),
      attachmentsSection(visit, project, sheetKind(register.name)?.type ?? register.one, row.id),
      talkSection(visit, project, sheetKind(register.name)?.type ?? register.one, row.id, name),
      findingsOf(visit, project, sheetKind(register.name)?.type ?? register.one, row.id),
      h("section", { "aria-labelledby": "history" }, h("h2", { id: "history" }, "Its history"), history({ code, signal: visit.signal, id: row.id, changed: visit.reload }))],
  };
}

/** @type {import("./parts/visit.js").Screen} */
export async function newRecordScreen(visit) {
  const { code, register, project } = await common(visit);
  const [lists, names] = await Promise.all([words(project), offers(code, register.fields, visit.signal)]);
  const back = path("projects", code, "registers", register.name);
  return {
    title: `New ${register.one}`,
    project,
    here: "registers",
    body: [purpose(register.purpose), formFor(visit, code, register, null, lists, names, () => visit.go(back))],
  };
}

/** @param {Project} project */
async function words(project) {
  return { ...(await vocabulary()), project_classes: project.element_classes ?? [] };
}

/** Evidence bears a generation's number only; a person reads it with its space. @param {string} code @param {Row} row */
async function withNames(code, row) {
  if (!row["generation"] || row["generation_name"] !== undefined || row["reference"] === undefined) return row;
  const generation = await record(code, "generations", String(row["generation"]));
  return { ...row, generation_name: generation["name"] };
}

/**
 * @param {Visit} visit @param {string} code @param {Register} register @param {Row | null} row
 * @param {Record<string, string[]>} lists @param {Record<string, string[]>} names @param {() => void} leave
 */
function formFor(visit, code, register, row, lists, names, leave) {
  return recordForm({
    fields: register.fields, row, words: lists, offers: names, resolve: resolver(code), leave, unsaved: visit.unsaved,
    save: async (values, current) => (current ? change(code, register.name, /** @type {Row} */ (current), values) : create(code, register.name, values)),
    saved: (saved) => {
      announce("Saved.");
      visit.go(path("projects", code, "registers", register.name, String(saved["id"])), { replace: row !== null });
    },
  });
}

/** @param {Visit} visit @param {string} code @param {Register} register @param {Row} row @param {string} back */
function removal(visit, code, register, row, back) {
  const problem = refusals();
  return h("div", { class: "removal" }, askedButton(`Remove this ${register.one}`, "Remove it, with all that hangs on it? A coordinator can bring it back.", "Remove", (pressed) => busy(pressed, problem, async () => {
    await withdraw(code, register.name, row);
    announce("Removed.");
    visit.go(back, { replace: true });
  })), problem.place);
}

/** What was concluded stands apart from what was seen. @param {string} code @param {Row} row */
function inferred(code, row) {
  const number = String(row["space_number"]);
  return h("p", { class: "box" }, h("strong", null, "Inferred, not seen: "), placed(row), " ", link(path("projects", code, "spaces", number), `See space ${number}`), ".");
}

/** @param {Register} register @param {Row} row */
function readOnly(register, row) {
  const told = register.fields.map((field) => [label(field), shown(field, row)]).filter(([, value]) => value !== "");
  return h("dl", { class: "told" }, told.flatMap(([name, value]) => [h("dt", null, name), h("dd", null, value)]));
}
