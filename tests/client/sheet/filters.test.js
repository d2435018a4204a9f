import assert from "node:assert/strict";
import test from "node:test";

import { chosen, plain } from "../../../surveys/client/model/sheet/arrange.js";
import { parse, test as filter, write } from "../../../surveys/client/model/sheet/filters.js";
import { frozen, frozenUpTo, ordered, reordered, shown } from "../../../surveys/client/model/sheet/shown.js";
import { usual } from "../../../surveys/client/model/sheet/address.js";
import { MOST, narrowed, present } from "../../../surveys/client/model/sheet/values.js";
import { COLUMNS, bench, row } from "./bench.js";

const [PART, HEIGHT, DAY] = ["part", "height_mm", "taken_on"].map((name) => COLUMNS.find((one) => one.name === name));
const SHARE = { name: "confidence", label: "Confidence", type: "share", editable: false, width: 9 };
const rows = () => [
  row("s1", { part: "edge", height_mm: 20 }), row("s2", { part: "", height_mm: null }), row("s3", { part: "Edge", height_mm: 5 }),
  row("s4", { part: "middle", height_mm: 100 }), row("s5", { part: "this|that", height_mm: 20 }),
];
const names = (sheet, part) => chosen(sheet, { ...plain(), filters: { part } });

test("what is written of a filter is read as the same filter", () => {
  const filters = [
    { kind: "all" }, { kind: "nothing" }, { kind: "blank" }, { kind: "filled" }, { kind: "text", text: "edge" }, { kind: "text", text: "=edge" }, { kind: "text", text: "(blank)" },
    { kind: "text", text: "~" }, { kind: "text", text: "!=x" }, { kind: "values", values: ["cream", "stone"], except: false }, { kind: "values", values: ["a|b", "", "(blank)", 'the "best"', '"'], except: true },
    { kind: "values", values: [""], except: false },
  ];
  for (const one of filters) assert.deepEqual(parse(PART, write(PART, one)), one, write(PART, one));
  for (const one of [{ low: "5", high: "20" }, { low: null, high: "20" }, { low: "5", high: null }]) {
    const range = { kind: "range", ...one, within: true };
    assert.deepEqual(parse(HEIGHT, write(HEIGHT, range)), range);
  }
  // A text that would mean bounds in a column of numbers is kept a text.
  assert.equal(write(HEIGHT, { kind: "text", text: "5..20" }), "~5..20");
  assert.deepEqual(parse(HEIGHT, ">5"), { kind: "range", low: "5", high: null, within: false });
  assert.deepEqual(parse(PART, ">5"), { kind: "text", text: ">5" });
});

test("the values of a column are counted in the rows that the other filters leave, blank first, numbers as numbers", () => {
  const { sheet } = bench(rows());
  const look = { ...plain(), filters: { part: "=edge" } };
  assert.deepEqual(present(sheet, look, "part"), [
    { key: "", text: "", count: 1, shown: false }, { key: "edge", text: "edge", count: 2, shown: true }, { key: "middle", text: "middle", count: 1, shown: false },
    { key: "this|that", text: "this|that", count: 1, shown: false },
  ]);
  assert.deepEqual(present(sheet, { ...plain(), filters: {} }, "height_mm").map((one) => one.text), ["", "5", "20", "100"]);
  assert.deepEqual(present(sheet, look, "height_mm").map((one) => [one.text, one.count]), [["5", 1], ["20", 1]]);
});

test("ticking and unticking values shows just the rows of those ticked", () => {
  const { sheet } = bench(rows());
  const all = present(sheet, plain(), "part");
  const ticked = (keys, before) => narrowed(PART, all.map((one) => ({ ...one, shown: keys.includes(one.key) })), before).said;
  const every = ["", "edge", "middle", "this|that"];
  assert.equal(ticked(every, "=edge"), "");
  assert.deepEqual(names(sheet, ticked([], "")), []);
  assert.equal(ticked([""], ""), "(blank)");
  assert.equal(ticked(every.slice(1), ""), "(not blank)");
  for (const before of ["", "(nothing)", "edge", "=middle", "!=edge"]) {
    for (const keys of [["edge"], ["", "middle"], ["edge", "this|that"], ["", "edge", "middle"]]) {
      const expected = sheet.ids().filter((id) => keys.includes(sheet.text(id, "part").toLowerCase()));
      assert.deepEqual(names(sheet, ticked(keys, before)), expected, `${before} then ${keys}`);
    }
  }
});

test("who began by taking values away sees new ones; who began with none sees only what he ticked", () => {
  const { sheet } = bench(rows());
  const all = present(sheet, plain(), "part");
  const some = all.map((one) => ({ ...one, shown: one.key !== "edge" }));
  const [away, chosenOnes] = [narrowed(PART, some, "").said, narrowed(PART, some, "(nothing)").said];
  sheet.load([row("s9", { part: "new" })]);
  assert.ok(names(sheet, away).includes("s9"));
  assert.ok(!names(sheet, chosenOnes).includes("s9"));
});

test("more values than an address can hold are refused, unless they are told by the few left out", () => {
  const many = Array.from({ length: 3 * MOST }, (_, index) => ({ key: `v${index}`, text: `v${index}`, count: 1, shown: index % 2 === 0 }));
  assert.match(narrowed(PART, many, "").refusal, /more than \d+ values/);
  const few = many.map((one, index) => ({ ...one, shown: index > 1 }));
  assert.equal(narrowed(PART, few, "(nothing)").said, "!=v0|v1");
});

test("a bound that is a year or a month holds all its days", () => {
  const days = ["2024-12-31", "2025-01-01", "2025-12-31", "2026-05-31", "2026-06-01"];
  const passing = (said) => days.filter((one) => filter(DAY, said)(one, one));
  assert.deepEqual(passing("2025..2025"), ["2025-01-01", "2025-12-31"]);
  assert.deepEqual(passing("..2026-05"), days.slice(0, 4));
  assert.deepEqual(passing(">2025"), days.slice(3));
  assert.deepEqual(passing("<2025"), days.slice(0, 1));
  assert.deepEqual(passing("<=2025"), days.slice(0, 3));
});

test("shares are bounded as they are shown, in hundredths", () => {
  const made = filter(SHARE, "50..80");
  assert.deepEqual([0.49, 0.5, 0.8, 0.81].map((value) => made(`${Math.round(100 * value)} %`, value)), [false, true, true, false]);
  assert.equal(filter(SHARE, ">=80 %")("80 %", 0.8), true);
  assert.equal(filter(SHARE, "<0.5")("40 %", 0.4), true);
});

test("first columns stay in sight, whatever is hidden or moved", () => {
  const look = { ...usual(), frozen: 3 };
  const seen = (more) => shown({ ...look, ...more }, COLUMNS).slice(0, frozen({ ...look, ...more }, COLUMNS)).map((one) => one.name);
  assert.deepEqual(seen({}), ["number", "element", "part"]);
  assert.deepEqual(seen({ hidden: ["element"] }), ["number", "part"]);
  assert.deepEqual(seen({ order: ["mount", "number"] }), ["mount", "number", "element"]);
  assert.deepEqual(seen({ frozen: 0 }), []);
  assert.deepEqual(frozenUpTo({ ...look, order: ["mount", "number"] }, COLUMNS, "number"), { frozen: 2 });
});

test("a hidden column keeps its place when others are moved", () => {
  const look = { ...usual(), hidden: ["element"] };
  const { order } = reordered(look, COLUMNS, ["part", "number", "height_mm", "taken_on", "status", "mount", "layer_count"]);
  assert.deepEqual(order.slice(0, 4), ["part", "element", "number", "height_mm"]);
  assert.deepEqual(ordered({ ...look, order }, COLUMNS).map((one) => one.name), order);
});
