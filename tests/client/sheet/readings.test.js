import assert from "node:assert/strict";
import test from "node:test";

import { munsell, plain, read, same, textOf } from "../../../surveys/client/model/sheet/readings.js";
import { SHEETS } from "../../../surveys/client/model/sheet/columns.js";
import { COLUMNS, WORDS, references } from "./bench.js";

const context = { words: WORDS, references: references() };
const column = (name) => COLUMNS.find((one) => one.name === name);
const of = (name, text, row = {}) => read(column(name), text, context, row);

test("a word of a closed list is taken however it is written; an unknown one is left for the service to judge", () => {
  assert.deepEqual(of("status", " Set_Aside "), { text: "set aside", value: "set aside", fault: "" });
  assert.deepEqual(of("status", "lost"), { text: "lost", value: "lost", fault: "" });
});

test("a number may have a decimal comma and its unit; what can be read in two ways is refused", () => {
  assert.equal(of("height_mm", "12,5").value, 12.5);
  assert.equal(of("height_mm", "1250 mm").value, 1250);
  assert.match(of("height_mm", "1,250").fault, /two ways/);
  assert.match(of("height_mm", "high").fault, /number/);
});

test("a refused text stays as it was typed", () => {
  assert.equal(of("height_mm", "about 12").text, "about 12");
});

test("a date is read where it can be read in one way only", () => {
  for (const text of ["2026-05-14", "14 May 2026", "14-May-2026", "14.05.2026", "14/05/2026", "05/14/2026"]) assert.equal(of("taken_on", text).value, "2026-05-14", text);
  for (const text of ["04/05/2026", "2026-02-30", "May 2026", "14/05/26"]) assert.notEqual(of("taken_on", text).fault, "", text);
});

test("a record is named by its code, in any case, and kept by its id", () => {
  assert.deepEqual(of("element", "101-bb"), { text: "101-BB", value: "e1", fault: "" });
  assert.match(of("element", "999").fault, /no element 999/);
});

test("a list is parted by semicolons or line breaks", () => {
  assert.equal(of("mount", "A1;A2 ;\nB").value, "A1; A2; B");
});

test("blank is null where a number, date or record stands, and needed where the record needs it", () => {
  assert.deepEqual(of("height_mm", "  "), { text: "", value: null, fault: "" });
  assert.deepEqual(of("part", ""), { text: "", value: "", fault: "" });
  assert.notEqual(of("number", "").fault, "");
});

test("years before the common era are read and told", () => {
  const year = { name: "earliest", label: "Earliest", type: "year", editable: true, width: 90 };
  assert.equal(read(year, "120 BCE", context, {}).value, -120);
  assert.equal(plain(year, -120), "120 BCE");
  assert.equal(read(year, "1838.0", context, {}).value, 1838);
});

test("a Munsell notation gets its blanks; what is none is left as it is", () => {
  assert.equal(munsell("5gy6/4"), "5GY 6/4");
  assert.equal(munsell("10 YR 8 / 2"), "10YR 8/2");
  assert.equal(munsell("n9"), "N 9");
  assert.equal(munsell("green"), "green");
});

test("a generation given by number alone is one of the row's own space", () => {
  const layers = SHEETS.find((one) => one.name === "layers");
  const generation = layers.columns.find((one) => one.name === "generation");
  const known = references();
  known.set("generations", [["g3", "101/3"]]);
  assert.equal(read(generation, "3", { words: {}, references: known }, { space_number: "101" }).value, "g3");
  assert.equal(textOf(generation, { generation: "g3" }, { words: {}, references: known }), "101/3");
});

test("nothing is nothing, however it is written; 0 is something", () => {
  assert.ok(same(null, "") && same(undefined, null) && same(3, "3"));
  assert.ok(!same(0, null) && !same("", 0) && !same("a", "A"));
});

test("every column of every register is named once, and every group is a column", () => {
  for (const sheet of SHEETS) {
    const names = sheet.columns.map((one) => one.name);
    assert.equal(new Set(names).size, names.length, sheet.name);
    for (const [name] of sheet.groups) assert.ok(names.includes(name), `${sheet.name}: ${name}`);
    for (const name of sheet.together.flat()) assert.ok(names.includes(name), `${sheet.name}: ${name}`);
  }
});
