/** The papers that can be asked for here: the registers, charts, the chapter, answer sheets, labels, the sampling plan, the archive; and bringing an archive. */

import { ask } from "../../api/work.js";
import * as papers from "../../model/papers.js";
import { mayManage } from "../../model/roles.js";
import { h, newId } from "../parts/dom.js";
import { announce, refusals } from "../parts/say.js";
import { sendFile } from "../parts/sending.js";
import { paperForm } from "./form.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */
/** @typedef {import("../../model/types.js").Space} Space */
/** @typedef {import("../../model/types.js").Job} Job */

/** @type {import("./form.js").Asked} */
const PAPER = { name: "paper", label: "Paper", offers: papers.PAPERS };

/**
 * @param {Visit} visit
 * @param {Project} project
 * @param {Space[]} spaces
 * @param {(job: Job) => Promise<void>} asked
 */
export function asking(visit, project, spaces, asked) {
  const send = (/** @type {string} */ kind) => async (/** @type {Record<string, unknown>} */ params) => {
    const job = await ask(project.code, kind, params);
    announce(job.state === "done" ? "This was made already and nothing has changed since: it is in the list below." : "Asked for: its progress is in the list below.");
    await asked(job);
  };
  return h("section", { "aria-labelledby": "ask" }, h("h2", { id: "ask" }, "Ask for"),
    registersForm(send("registers")), spaces.length > 0 && chartForm(spaces, send("chart")), chapterForm(send("chapter")), answersForm(send("answers")), labelForm(spaces, send("labels")), planForm(spaces, send("sampling-plan")),
    mayManage(project.role) && archiveForm(send("archive")),
    mayManage(project.role) && spaces.length === 0 && bringing(visit, project, asked));
}

/** @param {(params: Record<string, unknown>) => Promise<void>} send */
function registersForm(send) {
  return paperForm({
    title: "The registers as a workbook",
    says: "Spaces, elements, samples, layers, evidence, phases and rulings, and for each space a sheet of its generations (.xlsx). Importing what came out changes nothing.",
    fields: [],
    button: "Export the registers",
    read: papers.registers,
    send,
  });
}

/** @param {Space[]} spaces @param {(params: Record<string, unknown>) => Promise<void>} send */
function chartForm(spaces, send) {
  return paperForm({
    title: "A generation chart",
    says: "One space: a column a sample, a row a generation, the oldest at the foot, with cautions on every sheet.",
    fields: [spaceField(spaces, "choose …"), { name: "format", label: "As", offers: papers.CHART_FORMATS }, { name: "paper", label: "Paper", offers: papers.CHART_PAPERS }],
    button: "Draw the chart",
    read: papers.chart,
    send,
    changed: (written, rows) => {
      const paper = rows.get("paper");
      if (paper) paper.hidden = written["format"] !== "pdf";
    },
  });
}

/** @param {(params: Record<string, unknown>) => Promise<void>} send */
function chapterForm(send) {
  return paperForm({
    title: "The paint chapter",
    says: "For the lead consultant's report: method, samples, each space with its chart, its years and why, findings with their states and authors, colours, limits, cautions, appendices. As a word processor's document (.docx) and as PDF. What an author has not put forward yet is left out.",
    fields: [PAPER],
    button: "Write the chapter",
    read: papers.chapter,
    send,
  });
}

/** @param {(params: Record<string, unknown>) => Promise<void>} send */
function answersForm(send) {
  return paperForm({
    title: "Answer sheets for the owner",
    says: "A page a space in plain words: what it looked like at first and then, how sure that is and on how many samples it rests, what nobody knows, and what should be left untouched.",
    fields: [
      { name: "year", label: "As of the year" }, { name: "phase", label: "Or the end of phase", hint: "Its number." },
      { name: "page", label: "Paper", offers: papers.PAPERS },
    ],
    button: "Write the sheets",
    read: papers.answers,
    send,
  });
}

/** @param {Space[]} spaces @param {string} all @returns {import("./form.js").Asked} */
function spaceField(spaces, all) {
  return { name: "space", label: "Space", offers: [/** @type {const} */ (["", all]), ...spaces.map((one) => /** @type {const} */ ([one.number, `${one.number} ${one.name}`.trim()]))] };
}

/** @param {Space[]} spaces @param {(params: Record<string, unknown>) => Promise<void>} send */
function labelForm(spaces, send) {
  const own = papers.MEASURES.map(([name, label, value]) => ({ name, label, value }));
  return paperForm({
    title: "Labels",
    says: "For bags, vials or resin mounts: number, space, element, visit and date, and a code that leads to the sample in the record. Print at actual size; hold a print on plain paper against a sheet of labels first.",
    fields: [
      { name: "for", label: "For", offers: [["bag", "bags"], ["vial", "vials"], ["mount", "resin mounts, one a piece"]] },
      spaceField(spaces, "all spaces"),
      { name: "samples", label: "Samples", long: true, hint: "Their numbers, if only some; separated by commas, or a line each." },
      { name: "sheet", label: "Sheet of labels", offers: [...papers.SHEETS, papers.OWN] },
      { name: "first", label: "First free label", value: "1", hint: "Counted along the rows from the upper left, for a sheet that was begun." },
      { name: "cut_marks", label: "Marks to cut by", tick: true },
      ...own,
    ],
    button: "Print labels",
    read: (written) => papers.labels(written, location.origin),
    send,
    changed: (written, rows) => {
      for (const [name] of papers.MEASURES) {
        const row = rows.get(name);
        if (row) row.hidden = written["sheet"] !== papers.OWN;
      }
    },
  });
}

/** @param {Space[]} spaces @param {(params: Record<string, unknown>) => Promise<void>} send */
function planForm(spaces, send) {
  return paperForm({
    title: "The sampling plan",
    says: "Where samples would add most, by what the record lacks: a sheet a space to take along, with lines to fill in, and a workbook that can be imported when the samples are taken.",
    fields: [spaceField(spaces, "all spaces"), PAPER, { name: "blank", label: "Empty lines a space", value: "4" }],
    button: "Make the plan",
    read: papers.plan,
    send,
  });
}

/** @param {(params: Record<string, unknown>) => Promise<void>} send */
function archiveForm(send) {
  return paperForm({
    title: "The whole project as one file",
    says: "All records, their history and their files, with a manifest. From it the same project can be made on another installation, or here beside this one. Only a coordinator can ask for it and download it.",
    fields: [{ name: "outputs", label: "Also the papers that were made here", tick: true }],
    button: "Make the archive",
    read: papers.archive,
    send,
  });
}

/** @param {Visit} visit @param {Project} project @param {(job: Job) => Promise<void>} asked */
function bringing(visit, project, asked) {
  const [id, problem] = [newId("archive"), refusals()];
  const way = h("div", { class: "onitsway" });
  const file = h("input", { type: "file", id, accept: ".zip", onchange: () => file.files?.[0] && bring(file.files[0]) });

  /** @param {File} brought */
  async function bring(brought) {
    problem.clear();
    file.disabled = true;
    visit.unsaved(true);
    try {
      const kept = await sendFile({ code: project.code, username: visit.person?.username ?? "", signal: visit.signal, place: way }, brought);
      if (kept && !visit.signal.aborted) await asked(await ask(project.code, "import-archive", { upload: kept.id }));
    } catch (error) {
      problem.show(error);
    } finally {
      file.disabled = false;
      file.value = "";
      if (!visit.signal.aborted) visit.unsaved(false);
    }
  }

  return h("details", { class: "ask" }, h("summary", null, "Bring an archive into this project"),
    h("p", { class: "hint" }, "This project holds nothing yet, so an archive of another can be put into it: all of it, or nothing. What was not sent whole goes on where it was left when it is chosen again; a file that is too large to be sent is told so at once, and is brought with the command “unarchive”."),
    h("div", { class: "field" }, h("label", { for: id }, "Archive (.zip)"), file), way, problem.place);
}
