/** Bringing a file: send it, look at what it would do, then do just that. */

import { project as readProject } from "../api/records.js";
import { ask, job as readJob } from "../api/work.js";
import { path, withQuery } from "../lib/paths.js";
import { count, size } from "../lib/words.js";
import { SHEETS, findings, plans, summary } from "../model/report.js";
import { mayWrite } from "../model/roles.js";
import { Problem } from "../model/problems.js";
import { isOpen } from "../model/jobs.js";
import { button, h, link, refill } from "./parts/dom.js";
import { announce, busy, purpose, refusalBox, refusals } from "./parts/say.js";
import { sendFile } from "./parts/sending.js";
import { table } from "./parts/table.js";
import { watch } from "./parts/watching.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Job} Job */

/** @type {import("./parts/visit.js").Screen} */
export async function importScreen(visit) {
  const code = visit.params["code"] ?? "";
  const project = await readProject(code, visit.signal);
  const line = purpose("Bring the team's workbook. First you see what it would create and change, and everything that is wrong in it; then you apply it, all or nothing.");
  const shown = { title: "Import", project, here: "import" };
  if (!mayWrite(project.role)) return { ...shown, body: [line, h("p", null, `As ${project.role} you see the record and do not change it.`)] };
  const [check, done] = [visit.query.get("check"), visit.query.get("import")];
  const body = done ? await applied(visit, code, done) : check ? await checked(visit, code, check) : [];
  return { ...shown, body: [line, chooser(visit, code, body.length > 0), ...body] };
}

/** @param {Visit} visit @param {string} code @param {boolean} again */
function chooser(visit, code, again) {
  const limit = Number(document.documentElement.dataset["uploadLimit"] ?? 0);
  const problem = refusals();
  const way = h("div", { class: "onitsway" });
  let sending = false;
  const said = h("p", { class: "now", role: "status" });
  const file = h("input", { type: "file", id: "file", accept: ".xlsx,.csv", onchange: () => file.files?.[0] && send(file.files[0]) });
  const sheet = h("select", { id: "sheet" }, h("option", { value: "" }, "by its headings"), SHEETS.map((one) => h("option", null, one)));
  const zone = h("div", { class: "drop", ondragover: over, ondragleave: () => zone.classList.remove("over"), ondrop: dropped },
    h("div", { class: "field" }, h("label", { for: "file" }, again ? "Choose the mended or another file" : "Choose a file, or drop one here"), file,
      h("span", { class: "hint" }, `A workbook (.xlsx) or one sheet as .csv, of at most ${size(limit)}. One that was not sent whole goes on where it was left when it is chosen again.`)),
    h("div", { class: "field" }, h("label", { for: "sheet" }, "If it is a CSV: which sheet it is"), sheet));

  /** @param {DragEvent} event */
  function over(event) {
    event.preventDefault();
    zone.classList.add("over");
  }

  /** @param {DragEvent} event */
  function dropped(event) {
    event.preventDefault();
    zone.classList.remove("over");
    const brought = event.dataTransfer?.files ?? [];
    if (brought.length > 1) problem.show(new Problem(422, "many", "Drop one file at a time."));
    else if (brought[0]) send(brought[0]);
  }

  /** @param {File} brought */
  async function send(brought) {
    problem.clear();
    if (limit && brought.size > limit) {
      problem.show(new Problem(413, "too-large", `${brought.name} is ${size(brought.size)}; at most ${size(limit)} are taken.`));
      return;
    }
    if (sending) {
      problem.show(new Problem(409, "one-by-one", "Another file is on its way. Wait until it is here, or give it up."));
      return;
    }
    try {
      sending = true;
      visit.unsaved(true);
      said.textContent = `${brought.name} (${size(brought.size)})`;
      const kept = await sendFile({ code, username: visit.person?.username ?? "", signal: visit.signal, place: way }, brought);
      if (visit.signal.aborted) return;
      said.textContent = "";
      if (!kept) return;
      said.textContent = "Sent. Asking for the check …";
      /** @type {Record<string, string>} */
      const params = sheet.value ? { upload: kept.id, sheet: sheet.value } : { upload: kept.id };
      const job = await ask(code, "check-import", params);
      visit.go(withQuery(path("projects", code, "import"), { check: job.id }));
    } catch (error) {
      said.textContent = "";
      problem.show(error);
    } finally {
      sending = false;
      file.value = "";
      if (!visit.signal.aborted) visit.unsaved(false);
    }
  }

  return h("section", { "aria-labelledby": "bring" }, h("h2", { id: "bring" }, again ? "Another file" : "The file"), zone, said, way, problem.place);
}

/** @param {Visit} visit @param {string} code @param {string} id */
async function checked(visit, code, id) {
  const job = await readJob(code, id, visit.signal);
  const place = h("section", { "aria-labelledby": "check", class: "first" });
  const show = (/** @type {Job} */ ended) => {
    refill(place, h("h2", { id: "check", tabindex: -1 }, "What it would do"), ended.state === "done" ? report(visit, code, ended) : notChecked(ended));
  };
  if (isOpen(job)) {
    refill(place, h("h2", { id: "check" }, "Checking"), watch(visit, code, job, (ended) => {
      show(ended);
      place.querySelector("h2")?.focus();
    }));
  } else show(job);
  return [place];
}

/** @param {Job} job */
function notChecked(job) {
  const { faults } = findings(job.result);
  return [refusalBox(job.error || "The check was stopped."), faults.length > 0 && faultTable(faults)];
}

/** @param {Visit} visit @param {string} code @param {Job} check */
function report(visit, code, check) {
  const result = check.result;
  const { faults, notices } = findings(result);
  const faulty = result.fault_count > 0;
  const sheets = plans(result);
  return [
    h("p", null, h("strong", null, result.name), `: ${faulty ? "as far as it can be read, " : ""}${summary(sheets)}.`, others(result)),
    faulty && h("p", { class: "box refusal", role: "alert" }, h("strong", null, `${count(result.fault_count, "fault")}. `),
      "Nothing can be applied until the file is mended. Mend it in your spreadsheet and choose it again."),
    applyButton(visit, code, check, faulty, sheets),
    faulty && h("section", { "aria-labelledby": "faults" }, h("h3", { id: "faults" }, "Faults"), more(faults.length, result.fault_count), faultTable(faults)),
    h("section", { "aria-labelledby": "sheets" }, h("h3", { id: "sheets" }, "By sheet"),
      table("What each sheet would do", ["Sheet", "Rows", "Created", "Changed", "Left alone"],
        sheets.map((one) => [one.sheet, one.rows, one.created, one.changed, one.unchanged]), { numeric: [1, 2, 3, 4], empty: "No sheet of it is known here." })),
    changesTable(result),
    notices.length > 0 && h("section", { "aria-labelledby": "notices" }, h("h3", { id: "notices" }, "Notices"), more(notices.length, result.notice_count),
      table("Notices", ["Sheet", "Row", "Column", "Notice"], notices.map((one) => [one.sheet, one.row, one.column, one.detail]), { numeric: [1] })),
  ];
}

/** @param {any} result */
function others(result) {
  const told = [];
  if (result.new_classes?.length) told.push(` New element classes: ${result.new_classes.join(", ")}.`);
  if (result.new_generations) told.push(` ${count(result.new_generations, "new generation")}.`);
  if (result.new_holds) told.push(` ${count(result.new_holds, "layer")} held in the generation that the file names.`);
  return told.join("");
}

/** @param {number} shown @param {number} all */
function more(shown, all) {
  return shown < all ? h("p", null, `The first ${shown} of ${all}.`) : null;
}

/** @param {import("../model/report.js").Finding[]} faults */
function faultTable(faults) {
  return table("Faults", ["Sheet", "Row", "Column", "Value", "Reason"], faults.map((one) => [one.sheet, one.row, one.column, one.value, one.detail]), { numeric: [1] });
}

/** @param {any} result */
function changesTable(result) {
  const lines = result.changes ?? [];
  if (lines.length === 0) return null;
  const rows = lines.map((/** @type {any} */ one) => [one.record, one.sheet, one.row, one.field, shownValue(one.from), shownValue(one.to)]);
  return h("section", { "aria-labelledby": "would" }, h("h3", { id: "would" }, "Changes"), more(lines.length, result.change_count),
    table("Changes", ["Record", "Sheet", "Row", "Field", "From", "To"], rows, { numeric: [2] }));
}

/** @param {unknown} value */
function shownValue(value) {
  return value === null || value === "" || value === undefined ? h("span", { class: "blank" }, "blank") : String(value);
}

/** @param {Visit} visit @param {string} code @param {Job} check @param {boolean} faulty @param {import("../model/report.js").SheetCount[]} sheets */
function applyButton(visit, code, check, faulty, sheets) {
  const problem = refusals();
  const nothing = !faulty && sheets.every((one) => one.created + one.changed === 0);
  const apply = h("button", { type: "button", class: "main", disabled: faulty, "aria-describedby": "apply-why" }, "Apply");
  apply.addEventListener("click", () => busy(apply, problem, async () => {
    const job = await ask(code, "import", { ...check.params, checked: check.id });
    visit.go(withQuery(path("projects", code, "import"), { import: job.id }));
  }));
  const why = faulty ? "There are faults, so this file cannot be applied." : nothing ? "It would change nothing: the record says all this already." : "Does just what is listed here, all of it or nothing.";
  return h("div", null, h("p", { class: "buttons" }, apply, " ", h("span", { id: "apply-why", class: "hint" }, why)), problem.place);
}

/** @param {Visit} visit @param {string} code @param {string} id */
async function applied(visit, code, id) {
  const job = await readJob(code, id, visit.signal);
  const place = h("section", { "aria-labelledby": "import", class: "first" });
  const show = (/** @type {Job} */ ended) => {
    refill(place, h("h2", { id: "import", tabindex: -1 }, ended.state === "done" ? "Imported" : "Not imported"), ended.state === "done" ? outcome(code, ended) : failed(visit, code, ended));
  };
  if (isOpen(job)) {
    refill(place, h("h2", { id: "import" }, "Importing"), watch(visit, code, job, (ended) => {
      show(ended);
      place.querySelector("h2")?.focus();
      announce(ended.state === "done" ? "Imported." : "Not imported.");
    }));
  } else show(job);
  return [place];
}

/** @param {string} code @param {Job} job */
function outcome(code, job) {
  return [
    h("p", { class: "box" }, h("strong", null, job.result.name), `: ${summary(plans(job.result))}.`, others(job.result)),
    h("p", null, "The spaces with new layers are out of date now: ", link(path("projects", code), "correlate them"), "."),
  ];
}

/** @param {Visit} visit @param {string} code @param {Job} job */
function failed(visit, code, job) {
  const { faults } = findings(job.result);
  const again = button("Check the file again", () => busy(again, problem, async () => {
    const { upload = "", sheet } = job.params;
    const check = await ask(code, "check-import", sheet ? { upload, sheet } : { upload });
    visit.go(withQuery(path("projects", code, "import"), { check: check.id }));
  }));
  const problem = refusals();
  return [refusalBox(job.error || "The import was stopped; nothing was changed."), h("p", { class: "buttons" }, again), problem.place, faults.length > 0 && faultTable(faults)];
}
