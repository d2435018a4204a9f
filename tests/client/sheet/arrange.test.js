import assert from "node:assert/strict";
import test from "node:test";

import { alike, called, formerly, fromQuery, kept, toQuery, usual } from "../../../surveys/client/model/sheet/address.js";
import { chosen, entries, plain } from "../../../surveys/client/model/sheet/arrange.js";
import { test as filter } from "../../../surveys/client/model/sheet/filters.js";
import { news, parts, showing } from "../../../surveys/client/model/sheet/remote.js";
import { COLUMNS, bench, row } from "./bench.js";

const rows = () => [
  row("s1", { number: "K-10", part: "edge", height_mm: 20, element: "e1" }), row("s2", { number: "K-2", part: "", height_mm: null, element: "e2" }),
  row("s3", { number: "K-1", part: "Edge of panel", height_mm: 5, element: "e1" }), row("s4", { number: "K-3", part: "middle", height_mm: 20, element: "e2" }),
];
const shown = (more) => chosen(bench(rows()).sheet, { ...plain(), ...more });

test("texts sort naturally, numbers as numbers, blanks last up and down", () => {
  assert.deepEqual(shown({ sort: [{ name: "number", down: false }] }), ["s3", "s2", "s4", "s1"]);
  assert.deepEqual(shown({ sort: [{ name: "height_mm", down: false }] }), ["s3", "s1", "s4", "s2"]);
  assert.deepEqual(shown({ sort: [{ name: "height_mm", down: true }] }), ["s1", "s4", "s3", "s2"]);
});

test("several columns sort one within the other", () => {
  assert.deepEqual(shown({ sort: [{ name: "height_mm", down: true }, { name: "number", down: false }] }), ["s4", "s1", "s3", "s2"]);
});

test("rows are filtered by text, value, range and blank", () => {
  assert.deepEqual(shown({ filters: { part: "EDGE" } }), ["s1", "s3"]);
  assert.deepEqual(shown({ filters: { part: "=edge|middle" } }), ["s1", "s4"]);
  assert.deepEqual(shown({ filters: { height_mm: "6..20" } }), ["s1", "s4"]);
  assert.deepEqual(shown({ filters: { height_mm: "<20" } }), ["s3"]);
  assert.deepEqual(shown({ filters: { part: "(blank)" } }), ["s2"]);
  assert.deepEqual(shown({ filters: { part: "(not blank)", height_mm: ">=20" } }), ["s1", "s4"]);
  assert.deepEqual(shown({ search: "edge panel" }), ["s3"]);
});

test("years before the common era lie below the others in a range", () => {
  const made = filter({ name: "y", label: "Y", type: "year", editable: true, width: 9 }, "120 BCE..10");
  assert.deepEqual([-121, -120, 0, 10, 11].map((value) => made(String(value), value)), [false, true, true, true, false]);
});

test("dates are filtered by their bounds, and by a year alone", () => {
  const made = filter(COLUMNS.find((one) => one.name === "taken_on"), "2025..2026-05");
  assert.deepEqual(["2024-12-31", "2025-01-01", "2026-04-30", ""].map((value) => made(value, value)), [false, true, true, false]);
});

test("what is typed and not saved yet is filtered as it is typed", () => {
  const { sheet, steps } = bench(rows());
  steps.write("Typing", [{ id: "s2", name: "part", text: "edge" }]);
  assert.deepEqual(chosen(sheet, { ...plain(), filters: { part: "=edge" } }), ["s1", "s2"]);
});

test("groups have heads with their counts, and what is closed is left out", () => {
  const { sheet } = bench(rows());
  const wanted = { ...plain(), groups: ["element"], sort: [{ name: "number", down: false }] };
  const ids = chosen(sheet, wanted);
  const open = entries(sheet, ids, wanted.groups, new Set());
  assert.deepEqual(open.map((one) => (one.kind === "row" ? one.id : `${one.value} ${one.count}`)), ["101-BB 2", "s3", "s1", "101-DL 2", "s2", "s4"]);
  const closed = entries(sheet, ids, wanted.groups, new Set([open[0].id]));
  assert.deepEqual(closed.map((one) => one.id), [open[0].id, open[3].id, "s2", "s4"]);
  assert.deepEqual(closed.map((one) => one.count ?? 0).slice(0, 2), [2, 2]);
});

test("groups lie within groups", () => {
  const { sheet } = bench(rows());
  const wanted = { ...plain(), groups: ["element", "height_mm"] };
  const found = entries(sheet, chosen(sheet, wanted), wanted.groups, new Set());
  assert.deepEqual(found.map((one) => (one.kind === "row" ? one.id : `${one.level}:${one.value}:${one.count}`)), [
    "0:101-BB:2", "1:5:1", "s3", "1:20:1", "s1", "0:101-DL:2", "1:20:1", "s4", "1:(blank):1", "s2",
  ]);
});

test("20,000 rows of 25 columns are filtered and sorted as a plain reading of them says", () => {
  const columns = Array.from({ length: 25 }, (_, index) => ({ ...COLUMNS[2], name: `c${index}` }));
  const many = Array.from({ length: 20_000 }, (_, index) => ({ id: `r${index}`, version: 1, ...Object.fromEntries(columns.map((one, at) => [one.name, `v${(index * (at + 7)) % 977}`])) }));
  const { sheet } = bench([]);
  for (const one of columns) sheet.columns.set(one.name, one);
  sheet.load(many);
  const found = chosen(sheet, { ...plain(), filters: { c1: "v1" }, sort: [{ name: "c2", down: false }, { name: "c3", down: true }] });
  const number = (text) => Number(text.slice(1));
  const plainly = many.filter((one) => one.c1.includes("v1")).sort((one, other) => number(one.c2) - number(other.c2) || number(other.c3) - number(one.c3));
  assert.deepEqual(found, plainly.map((one) => one.id));
});

test("a look goes into an address and comes back", () => {
  const look = { ...usual(), search: "edge", filters: { part: "a..b & c" }, sort: [{ name: "number", down: true }, { name: "part", down: false }], groups: ["element"], hidden: ["mount"], order: ["part", "number"], frozen: 3, view: "Mine" };
  const known = (name) => COLUMNS.some((one) => one.name === name);
  const query = new URLSearchParams(toQuery(look));
  assert.deepEqual(fromQuery(new URLSearchParams(query.toString()), known), look);
  assert.deepEqual(toQuery(usual()), []);
  assert.deepEqual(fromQuery([["sort", "nothing,-part"], ["where.nothing", "x"]], known).sort, [{ name: "part", down: true }]);
});

test("a look is kept under a name and called up, without what is no column any more", () => {
  const known = (name) => COLUMNS.some((one) => one.name === name);
  const look = { ...usual(), filters: { part: "edge", status: "" }, sort: [{ name: "number", down: true }], groups: ["element"], hidden: ["mount"], order: ["part", "number"], frozen: 3, view: "An old one" };
  assert.deepEqual(kept(look), { search: "", filters: { part: "edge" }, sort: [{ name: "number", down: true }], groups: ["element"], hidden: ["mount"], order: ["part", "number"], frozen: 3 });
  const again = called("Mine", JSON.parse(JSON.stringify(kept(look))), known);
  assert.equal(again.view, "Mine");
  assert.ok(alike(again, look));
  assert.ok(!alike(again, { ...look, frozen: 2 }));
  assert.deepEqual(called("Mine", { hidden: ["gone", "mount"], sort: [{ name: "gone", down: false }], filters: { gone: "x" } }, known), { ...usual(), hidden: ["mount"], view: "Mine" });
  assert.deepEqual(called("Mine", {}, known), { ...usual(), view: "Mine" });
});

test("views that the browser kept are found, and what is none is passed over", () => {
  assert.deepEqual(formerly(JSON.stringify({ mine: "sort=part", broken: 3 })), [["mine", "sort=part"]]);
  assert.deepEqual([formerly("[1]"), formerly(null), formerly("{")], [[], [], []]);
});

test("news says which records to read anew and which are gone, and leaves out what is known", () => {
  const line = (record_id, action, version, record_type = "sample") => ({ record_id, action, version, record_type, actor: "Hester", act: `act-${record_id}` });
  const found = news([line("a", "changed", 2), line("a", "changed", 3), line("b", "changed", 4), line("c", "created", 1), line("d", "removed", 2), line("e", "changed", 2, "element"),
    line("f", "removed", 3), line("f", "restored", 4)], "sample", (id) => ({ a: 1, b: 4, d: 1, f: 2 })[id] ?? null);
  assert.deepEqual(found.changed.sort(), ["a", "c", "f"]);
  assert.deepEqual(found.removed, ["d"]);
  assert.deepEqual([...found.types].sort(), ["element", "sample"]);
  assert.equal(found.acts.get("d"), "act-d");
});

test("rows that bear a changed record's name are found, and lists are cut in parts", () => {
  assert.deepEqual(showing(rows(), new Set(["e2"]), ["element"]), ["s2", "s4"]);
  assert.deepEqual(parts([1, 2, 3, 4, 5], 2), [[1, 2], [3, 4], [5]]);
});
