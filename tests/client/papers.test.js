import assert from "node:assert/strict";
import test from "node:test";

import { outcome, title } from "../../surveys/client/model/jobs.js";
import { answers, archive, chapter, chart, labels, MEASURES, names, numberOf, OWN, plan, registers, SHEETS } from "../../surveys/client/model/papers.js";

const form = (more = {}) => ({ for: "bag", space: "", samples: "", sheet: SHEETS[0], first: "1", cut_marks: "", ...Object.fromEntries(MEASURES.map(([name, , value]) => [name, value])), ...more });

test("labels of a known sheet ask for no more than was chosen", () => {
  const { params, faults } = labels(form(), "https://paint.example.org");
  assert.deepEqual(params, { for: "bag", sheet: SHEETS[0], link: "https://paint.example.org", first: 1 });
  assert.deepEqual(faults, {});
});

test("a space, named samples and marks are passed on", () => {
  const { params } = labels(form({ space: "101", samples: "WH001, WH002\nWH001", cut_marks: "yes" }), "x");
  assert.deepEqual([params.space, params.samples, params.cut_marks], ["101", ["WH001", "WH002"], true]);
});

test("measures of one's own are numbers, with a comma too", () => {
  const { params, faults } = labels(form({ sheet: OWN, label_width: "63,5" }), "x");
  assert.deepEqual(faults, {});
  assert.equal(params.sheet.label_width, 63.5);
  assert.equal(params.sheet.columns, 3);
});

test("what is no measure is refused beside its field, and only where measures are asked for", () => {
  const bad = { columns: "2.5", gap_x: "-1", label_width: "wide", first: "" };
  assert.deepEqual(Object.keys(labels(form({ ...bad, sheet: OWN }), "x").faults).sort(), ["columns", "first", "gap_x", "label_width"]);
  assert.deepEqual(Object.keys(labels(form(bad), "x").faults), ["first"]);
});

test("numbers are told from what only looks like one", () => {
  assert.deepEqual(["7", " 7,25 ", "", "1e3", "-2", "0x1", undefined].map(numberOf), [7, 7.25, null, null, null, null, null]);
});

test("names are taken from cells, lists and lines", () => {
  assert.deepEqual(names("A 1\tB;C,\n\nA 1 , D"), ["A 1", "B", "C", "D"]);
});

test("a plan, a chapter and an archive ask for what they need", () => {
  assert.deepEqual(plan({ space: "", paper: "letter", blank: "0" }).params, { paper: "letter", blank: 0 });
  assert.deepEqual(Object.keys(plan({ space: "", paper: "A4", blank: "some" }).faults), ["blank"]);
  assert.deepEqual(chapter({ paper: "A4" }).params, { paper: "A4" });
  assert.deepEqual(archive({ outputs: "" }).params, {});
  assert.deepEqual(archive({ outputs: "yes" }).params, { outputs: true });
});

test("what came of a paper is told in numbers", () => {
  assert.equal(title({ kind: "labels", params: { space: "101" } }), "Labels of space 101");
  assert.equal(outcome({ kind: "labels", result: { labels: 3, pages: 1, without_code: ["A"] }, files: [] }), "3 labels on 1 page. On 1 the code would be too small to be read, so there is none.");
  assert.equal(outcome({ kind: "sampling-plan", result: { wanted: 2, spaces: 1 }, files: [] }), "2 samples wanted in 1 space.");
  const brought = { code: "HALL", records: { space: 1, layer: 6 }, changes: 9, files: 0, strangers: ["Somebody Else"] };
  assert.equal(outcome({ kind: "import-archive", result: brought, files: [] }), "7 records, 9 changes and 0 files of HALL were brought. Not known here by name, and so standing in it without signing in: Somebody Else.");
});

test("answer sheets are of a year or of a phase, and of one of the two", () => {
  assert.deepEqual(answers({ year: "1840", phase: "", page: "A4" }), { params: { page: "A4", year: 1840 }, faults: {} });
  assert.deepEqual(answers({ year: "", phase: "2", page: "letter" }), { params: { page: "letter", phase: 2 }, faults: {} });
  assert.deepEqual(answers({ year: "-120", phase: "", page: "A4" }).params, { page: "A4", year: -120 });
  assert.match(answers({ year: "", phase: "", page: "A4" }).faults["year"] ?? "", /a year, or a phase/);
  assert.match(answers({ year: "c.1840", phase: "", page: "A4" }).faults["year"] ?? "", /whole number/);
  assert.match(answers({ year: "1840", phase: "2", page: "A4" }).faults["phase"] ?? "", /not both/);
});

test("a chart needs a space, and paper only where it has pages", () => {
  assert.deepEqual(chart({ space: "201", format: "pdf", paper: "A3" }), { params: { space: "201", format: "pdf", paper: "A3" }, faults: {} });
  assert.deepEqual(chart({ space: "201", format: "svg", paper: "A3" }).params, { space: "201", format: "svg" });
  assert.deepEqual(chart({ space: "", format: "pdf", paper: "A3" }).faults, { space: "Choose a space." });
  assert.deepEqual(registers(), { params: {}, faults: {} });
});
