import assert from "node:assert/strict";
import test from "node:test";

import { acts, deed, summary } from "../../surveys/client/model/changes.js";
import { cellsOf } from "../../surveys/client/model/chart.js";
import { compare } from "../../surveys/client/model/clash.js";
import { distinctness, percent, placement } from "../../surveys/client/model/confidence.js";
import { changed, read, shown } from "../../surveys/client/model/fields.js";
import * as jobs from "../../surveys/client/model/jobs.js";
import { Lost, problemFrom, sentence, sorted } from "../../surveys/client/model/problems.js";
import { REGISTERS } from "../../surveys/client/model/registers.js";
import { findings, summary as importSummary } from "../../surveys/client/model/report.js";
import { mayManage, maySee, mayWrite } from "../../surveys/client/model/roles.js";
import { findLayer, layerName, sentence as rulingSentence } from "../../surveys/client/model/rulings.js";
import { missing } from "../../surveys/client/model/signing.js";
import { bearsOn, placed } from "../../surveys/client/model/told.js";

test("a number may be written with a comma, and what is no number is refused in words", () => {
  const field = { name: "size_mm", label: "Size", type: "number", unit: "mm" };
  assert.deepEqual(read(field, " 4,5 "), { value: 4.5, fault: "" });
  assert.deepEqual(read(field, "-3"), { value: -3, fault: "" });
  for (const text of ["four", "1,2,3", "NaN", "Infinity", "1e5", "0x10"]) assert.match(read(field, text).fault, /Write a number/, text);
});

test("a year may be before the common era, and 'c.1840' is no whole number", () => {
  const field = { name: "earliest", label: "Earliest", type: "year" };
  assert.equal(read(field, "1838").value, 1838);
  assert.equal(read(field, "120 BCE").value, -120);
  assert.equal(read(field, "-120").value, -120);
  assert.match(read(field, "c.1840").fault, /whole number/);
});

test("blank means not recorded: null for numbers, dates and references, '' for text", () => {
  assert.equal(read({ name: "a", label: "A", type: "number" }, "").value, null);
  assert.equal(read({ name: "a", label: "A", type: "reference" }, " ").value, null);
  assert.equal(read({ name: "a", label: "A" }, "").value, "");
  assert.match(read({ name: "a", label: "A", required: true }, " ").fault, /needed/);
});

test("only what was changed is sent", () => {
  const fields = [{ name: "a", label: "A" }, { name: "b", label: "B" }];
  assert.deepEqual(changed(fields, { a: "1", b: "2" }, { a: "1", b: "3" }).map((field) => field.name), ["b"]);
});

test("a reference shows the name of its record, not its id", () => {
  const field = { name: "space", label: "Space", type: "reference", shows: "space_number" };
  assert.equal(shown(field, { space: "some-id", space_number: "101" }), "101");
});

test("in a clash only what both changed, and not to the same, must be chosen", () => {
  const fields = ["a", "b", "c", "d"].map((name) => ({ name, label: name }));
  const base = { a: "1", b: "1", c: "1", d: "1" };
  const mine = { a: "2", b: "2", c: "1", d: "5" };
  const found = compare(fields, base, mine, { a: "3", b: "1", c: "4", d: "5" });
  assert.deepEqual(found.both.map((one) => [one.field.name, one.mine, one.theirs]), [["a", "2", "3"]]);
  assert.deepEqual(found.mine.map((one) => one.field.name), ["b"]);
  assert.deepEqual(found.theirs.map((one) => one.field.name), ["c"]);
});

test("faults stand beside their fields, also those of a row of a batch; the rest is of the whole", () => {
  const places = [
    { pointer: "/colour", code: "x", detail: "Too long." },
    { pointer: "/operations/3/values/munsell", code: "x", detail: "No such hue." },
    { pointer: "", code: "x", detail: "Not together." },
  ];
  assert.deepEqual(sorted(places, ["colour", "munsell"]), { beside: { colour: "Too long.", munsell: "No such hue." }, whole: ["Not together."] });
});

test("a refusal says how long to wait where its header does in seconds, and else not at all", () => {
  const often = { code: "too-often", detail: "Wait 48 seconds and try again." };
  assert.equal(problemFrom(429, often, "48").seconds, 48);
  for (const header of [null, "", "soon", "-1", "Mon, 30 Nov 2026 12:00:00 GMT", "99999999999"]) assert.equal(problemFrom(429, often, header).seconds, 0);
});

test("an answer that is no problem document still becomes a sentence, and never shows what it was", () => {
  assert.match(problemFrom(502, null).message, /Something went wrong/);
  assert.match(problemFrom(502, "<html>").message, /Something went wrong/);
  assert.equal(problemFrom(422, { code: "invalid", detail: "This is needed." }).message, "This is needed.");
  assert.doesNotMatch(sentence(new TypeError("x is undefined")), /undefined/);
  assert.match(sentence(new Lost()), /connection is lost/);
});

const CHART = {
  space: "101", samples: [{}, {}], generations: [{}, {}, {}],
  cells: [
    { layer: "WH003/1", layer_id: "id-1", sample: "WH003", position: 1, generation: 1, confidence: 0.99 },
    { layer: "WH003/2", layer_id: "id-2", sample: "WH003", position: 2, generation: 2, confidence: 0.3 },
    { layer: "A/7/2", layer_id: "id-3", sample: "A/7", position: 2, generation: null, confidence: null },
  ],
};

test("a layer is named as sample/position, also where a sample's number has a slash or a blank in it", () => {
  assert.equal(layerName(" WH003 / 07 "), "WH003/7");
  assert.equal(layerName("A/7/2"), "A/7/2");
  assert.equal(layerName("K 12/3"), "K 12/3");
  for (const text of ["", "WH003", "WH003/", "/3", "WH003/0", "WH003/x"]) assert.equal(layerName(text), "", text);
});

test("a layer that is not there is refused in words that help", () => {
  assert.equal(findLayer(CHART, "wh003/2").id, "id-2");
  assert.equal(findLayer(CHART, "A/7/2").id, "id-3");
  assert.match(findLayer(CHART, "WH003/9").fault, /layers 1 to 2 only/);
  assert.match(findLayer(CHART, "WH099/1").fault, /Space 101 has no sample WH099/);
  assert.match(findLayer(CHART, "WH003").fault, /sample\/position/);
  assert.match(findLayer(CHART, "").fault, /needed/);
});

test("the layers of a chart that are placed in no generation are found", () => {
  assert.deepEqual(cellsOf(CHART, null).map((cell) => cell.layer), ["A/7/2"]);
});

test("rulings read as sentences", () => {
  assert.equal(rulingSentence({ kind: "tie", first_layer_name: "A/1", second_layer_name: "B/2" }), "A/1 and B/2 are of one campaign");
  assert.equal(rulingSentence({ kind: "bar", first_layer_name: "A/1", second_layer_name: "B/2" }), "A/1 and B/2 are not of one campaign");
  assert.equal(rulingSentence({ kind: "hold", first_layer_name: "A/1", generation_ordinal: 4 }), "A/1 belongs to generation 4");
});

test("nearly certain is not told as certain, and weak reads weak", () => {
  assert.equal(percent(0.9999), "over 99 %");
  assert.equal(percent(0.0001), "under 1 %");
  assert.equal(percent(1), "100 %");
  assert.equal(percent(0.425), "43 %");
  assert.equal(placement(0.3), "unsure");
  assert.equal(placement(null), "not placed");
  assert.match(distinctness(0.2), /likely one campaign with the one below/);
  assert.match(distinctness(0.97), /surely another/);
});

const JOB = { kind: "correlate", params: {}, state: "running", cancel_asked: false, progress: { done: 30, total: 120, now: "Correlating space 101" }, files: [], error: "", result: null };

test("a job says what it is, how far it is, and what came of it", () => {
  assert.equal(jobs.title(JOB), "Correlation of all spaces");
  assert.equal(jobs.title({ kind: "chart", params: { space: "101", format: "pdf", paper: "A3" } }), "Generation chart of space 101 as PDF, A3");
  assert.equal(jobs.now(JOB), "Correlating space 101: 25 %.");
  assert.equal(jobs.state({ state: "running", cancel_asked: true }).word, "stopping");
  assert.equal(jobs.now({ ...JOB, state: "failed", error: "It was too large." }), "It was too large.");
});

test("each state of a job has a shape of its own, for those who do not see colours or read the word", () => {
  const marks = ["queued", "running", "done", "failed", "cancelled"].map((state) => jobs.state({ state, cancel_asked: false }).mark);
  assert.equal(new Set(marks).size, marks.length);
});

test("a correlation's result names the spaces whose rulings cannot be obeyed", () => {
  const result = { spaces: [{ space: "101", layers: 10, layers_changed: 2, generations: 3, unsure: 1 }, { space: "102", refused: "A tie crosses a bar." }], conflicts: [{}] };
  const told = jobs.outcome({ ...JOB, state: "done", result });
  assert.match(told, /10 layers placed in 3 generations of 1 space; 2 placements changed; 1 layer unsure/);
  assert.match(told, /Space 102: A tie crosses a bar\./);
  assert.match(told, /1 conflict of date/);
});

const LINE = { sequence: 1, at: "2026-05-14T12:00:00Z", actor: "Connie", action: "changed", record_type: "layer", record_name: "A/1", fields: { colour: ["cream", "stone"] }, act: "x", reason: "" };

test("a change is told from what to what, and ids are not read out", () => {
  assert.equal(deed(LINE), "changed layer A/1: colour from “cream” to “stone”");
  assert.equal(deed({ ...LINE, fields: { generation: ["3f2504e0-4f89-41d3-9a0c-0305e82c3301", null] } }), "changed layer A/1: generation");
  assert.equal(deed({ ...LINE, action: "restored" }), "brought back layer A/1");
});

test("lines of one act are told as one, newest act first", () => {
  const lines = [LINE, { ...LINE, sequence: 2, record_name: "A/2" }, { ...LINE, sequence: 3, act: "y", action: "removed", record_type: "evidence" }];
  const found = acts(lines);
  assert.deepEqual(found.map((one) => [one.act, one.lines.length]), [["y", 1], ["x", 2]]);
  assert.equal(summary(found[1].lines), "changed 2 layers");
  assert.equal(summary([...lines.slice(2), ...lines.slice(2)]), "removed 2 evidence");
});

test("an import's report is summed over its sheets", () => {
  const sheets = [{ sheet: "Spaces", rows: 2, created: 1, changed: 1, unchanged: 0 }, { sheet: "Layers", rows: 9, created: 0, changed: 0, unchanged: 9 }];
  assert.equal(importSummary(sheets), "1 record created, 1 record changed and 9 records left alone");
  assert.deepEqual(findings(null), { faults: [], notices: [] });
  assert.equal(findings({ faults: [{ sheet: "Layers", row: 3, column: "Kind", value: "primmer", code: "x", detail: "No." }] }).faults[0].value, "primmer");
});

test("an owner is offered no change and a contractor no record", () => {
  assert.deepEqual(["coordinator", "consultant", "owner", "contractor"].map(mayWrite), [true, true, false, false]);
  assert.deepEqual(["coordinator", "consultant", "owner", "contractor"].map(maySee), [true, true, true, false]);
  assert.deepEqual(["coordinator", "consultant", "owner", "contractor"].map(mayManage), [true, false, false, false]);
});

test("every register opens its records by a column that it shows, and no field stands in it twice", () => {
  for (const register of REGISTERS) {
    assert.ok(register.columns.some(([name]) => name === register.key), register.name);
    const names = register.fields.map((field) => field.name);
    assert.equal(new Set(names).size, names.length, register.name);
  }
});

test("signing in without a name or password is refused before it is sent", () => {
  assert.match(missing(" ", "x"), /name/);
  assert.match(missing("connie", ""), /password/);
  assert.equal(missing("connie", "x"), "");
});

test("evidence says what it bears on by the name that people use", () => {
  assert.equal(bearsOn({ bears_on: "element", element_code: "101-BB" }), "element 101-BB");
  assert.equal(bearsOn({ bears_on: "structure" }), "structure");
  assert.equal(bearsOn({ bears_on: "" }), "");
});

test("a layer's place says how sure it is and what it would be otherwise", () => {
  const row = { generation_ordinal: 2, placed_by: "computed", confidence: 0.3, runner_up_ordinal: 3, runner_up_confidence: 0.28 };
  assert.equal(placed(row), "generation 2, unsure (30 %); otherwise generation 3, 28 %.");
  assert.equal(placed({ ...row, placed_by: "by hand" }), "generation 2, held there by a ruling.");
  assert.match(placed({ generation_ordinal: null }), /no generation yet/);
});
