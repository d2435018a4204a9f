import assert from "node:assert/strict";
import test from "node:test";

import { cleared, copied, filledDown, filledOn, pasted } from "../../../surveys/client/model/sheet/ranges.js";
import { series } from "../../../surveys/client/model/sheet/series.js";
import { bench, row } from "./bench.js";

const NAMES = ["number", "element", "part", "height_mm", "taken_on", "status", "mount", "layer_count"];
const from = (name) => NAMES.slice(NAMES.indexOf(name));

function plan(sheet, text, ids, names, more = {}) {
  const all = more.shown ?? sheet.ids();
  return pasted(sheet, text, { ids, names }, { ids: all.slice(all.indexOf(ids[0])), names: from(names[0]) }, more.makes ?? true);
}

test("a range goes from its first cell to the right and down", () => {
  const { sheet } = bench();
  const found = plan(sheet, "x\t1\r\ny\t2\r\n", ["s1"], ["part"]);
  assert.deepEqual(found.cells, [
    { id: "s1", name: "part", text: "x" }, { id: "s1", name: "height_mm", text: "1" },
    { id: "s2", name: "part", text: "y" }, { id: "s2", name: "height_mm", text: "2" },
  ]);
  assert.equal(found.rows, 0);
});

test("one value fills the range, and a range that is a multiple is tiled", () => {
  const { sheet } = bench();
  assert.deepEqual(plan(sheet, "x\n", ["s1", "s2"], ["part", "height_mm"]).cells.map((one) => one.text), ["x", "x", "x", "x"]);
  const { sheet: four } = bench(["s1", "s2", "s3", "s4"].map((id) => row(id)));
  assert.deepEqual(plan(four, "a\nb\n", four.ids(), ["part"]).cells.map((one) => one.text), ["a", "b", "a", "b"]);
});

test("past the last row it makes rows, where rows can be made", () => {
  const { sheet } = bench();
  const found = plan(sheet, "a\nb\nc\n", ["s3"], ["part"]);
  assert.equal(found.rows, 2);
  assert.deepEqual(found.cells.map((one) => one.id), ["s3", "+0", "+1"]);
  assert.match(plan(sheet, "a\nb\nc\n", ["s3"], ["part"], { makes: false }).refusal, /2 rows too many.*Nothing was pasted/);
});

test("columns that cannot be written are passed over, and named", () => {
  const { sheet } = bench();
  const found = plan(sheet, "A1\t7\n", ["s1"], ["mount"]);
  assert.deepEqual(found.cells, [{ id: "s1", name: "mount", text: "A1" }]);
  assert.deepEqual(found.skipped, ["layer_count"]);
});

test("too many columns or rows are refused as a whole", () => {
  const { sheet } = bench();
  const wide = plan(sheet, "a\tb\tc\n", ["s1"], ["mount"]);
  assert.match(wide.refusal, /3 columns.*only 2.*Nothing was pasted/);
  assert.equal(wide.cells.length, 0);
  assert.match(plan(sheet, "x\n".repeat(200_000), ["s1"], ["part"]).refusal, /200,000.*Nothing was pasted/);
});

test("in a filtered view a paste goes to the rows that are shown, by their ids", () => {
  const { sheet } = bench();
  assert.deepEqual(plan(sheet, "a\nb\n", ["s1"], ["part"], { shown: ["s1", "s3"] }).cells.map((one) => one.id), ["s1", "s3"]);
});

test("rows of different length leave the missing cells blank", () => {
  const { sheet } = bench();
  assert.deepEqual(plan(sheet, "a\t1\nb\n", ["s1"], ["part"]).cells.at(-1), { id: "s2", name: "height_mm", text: "" });
});

test("markup and formulas are texts", () => {
  const { sheet, steps } = bench();
  steps.write("Paste", plan(sheet, "<b onclick=alert(1)>x</b>\n'=1+1\n", ["s1"], ["part"]).cells);
  assert.equal(sheet.text("s1", "part"), "<b onclick=alert(1)>x</b>");
  assert.equal(sheet.text("s2", "part"), "=1+1");
  assert.equal(copied(sheet, { ids: ["s2"], names: ["part"] }), "'=1+1");
});

test("what is copied can be pasted back", () => {
  const { sheet, steps } = bench([row("s1", { part: "two\nlines", height_mm: -3.5 }), row("s2")]);
  const text = copied(sheet, { ids: ["s1"], names: ["part", "height_mm"] });
  steps.write("Paste", plan(sheet, text, ["s2"], ["part"]).cells);
  assert.equal(sheet.text("s2", "part"), "two\nlines");
  assert.equal(sheet.value("s2", "height_mm"), -3.5);
});

test("filling down writes the first row into the others, and passes over what cannot be written", () => {
  const { sheet } = bench([row("s1", { part: "edge", layer_count: 4 }), row("s2"), row("s3")]);
  assert.deepEqual(filledDown(sheet, { ids: sheet.ids(), names: ["part", "layer_count"] }), [
    { id: "s2", name: "part", text: "edge" }, { id: "s3", name: "part", text: "edge" },
  ]);
});

test("a series goes on from the filled cells at its head", () => {
  const { sheet } = bench([row("s1", { height_mm: 10 }), row("s2", { height_mm: 20 }), row("s3"), row("s4")]);
  assert.deepEqual(filledOn(sheet, { ids: sheet.ids(), names: ["height_mm"] }).map((one) => one.text), ["30", "40"]);
});

test("clearing passes over what is blank already", () => {
  const { sheet } = bench([row("s1", { part: "edge" }), row("s2")]);
  assert.deepEqual(cleared(sheet, { ids: sheet.ids(), names: ["part"] }), [{ id: "s1", name: "part", text: "" }]);
});

test("numbers, dates and texts with a number go on by their step", () => {
  assert.deepEqual(series(["1", "3"], 2), ["5", "7"]);
  assert.deepEqual(series(["7"], 2), ["8", "9"]);
  assert.deepEqual(series(["0.1", "0.2"], 2), ["0.3", "0.4"]);
  assert.deepEqual(series(["10", "8"], 2), ["6", "4"]);
  assert.deepEqual(series(["008"], 3), ["009", "010", "011"]);
  assert.deepEqual(series(["2026-02-27"], 3), ["2026-02-28", "2026-03-01", "2026-03-02"]);
  assert.deepEqual(series(["2026-01-01", "2026-01-08"], 1), ["2026-01-15"]);
  assert.deepEqual(series(["K-009"], 2), ["K-010", "K-011"]);
  assert.deepEqual(series(["101-2", "101-4"], 1), ["101-6"]);
});

test("what has no step is said over again", () => {
  assert.deepEqual(series(["cream", "stone"], 3), ["cream", "stone", "cream"]);
  assert.deepEqual(series(["1", "2", "4"], 2), ["1", "2"]);
  assert.deepEqual(series(["primer"], 2), ["primer", "primer"]);
});
