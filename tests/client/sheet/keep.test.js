import assert from "node:assert/strict";
import test from "node:test";

import { Lost } from "../../../surveys/client/model/problems.js";
import { pack, unpack } from "../../../surveys/client/model/sheet/keep.js";
import { bench, row } from "./bench.js";

const typed = (id, name, text) => ({ id, name, text });
const stored = (kept) => JSON.parse(JSON.stringify(kept));

test("nothing typed is nothing kept", () => {
  assert.equal(pack(bench().sheet, null), null);
});

test("what was typed is there after a reload, refused cells too", async () => {
  const before = bench();
  before.steps.write("Paste", [typed("s1", "part", "edge"), typed("s2", "height_mm", "tall")]);
  const id = before.sheet.bear();
  before.steps.write("New row", [typed(id, "number", "N-1")], [id]);
  before.steps.remove("Remove", ["s3"]);
  const after = bench();
  const found = unpack(after.sheet, stored(pack(before.sheet, null)));
  assert.equal(found.many, 4);
  assert.equal(after.sheet.cell("s1", "part").state, "unsaved");
  assert.equal(after.sheet.cell("s2", "height_mm").text, "tall");
  assert.equal(after.sheet.ids().length, 3);
  await after.outbox.flush();
  assert.equal(after.service.rows.get("s1").part, "edge");
  assert.equal(after.service.rows.has("s3"), false);
});

test("what somebody else wrote while I was away is a clash", () => {
  const before = bench();
  before.steps.write("Typing", [typed("s1", "part", "edge"), typed("s2", "part", "x")]);
  const after = bench([row("s1", { version: 2, part: "middle" }), row("s2", { version: 2, status: "mounted" })]);
  unpack(after.sheet, stored(pack(before.sheet, null)));
  assert.deepEqual([after.sheet.cell("s1", "part").state, after.sheet.cell("s1", "part").theirs], ["clash", "middle"]);
  assert.equal(after.sheet.cell("s2", "part").state, "unsaved");
});

test("what was typed into a record that is gone is answered, not lost", () => {
  const before = bench();
  before.steps.write("Typing", [typed("s1", "part", "edge")]);
  const after = bench([row("s2")]);
  assert.deepEqual(unpack(after.sheet, stored(pack(before.sheet, null))).lost, [typed("s1", "part", "edge")]);
});

test("a batch that was on its way when the page went is sent again under its key, and done once", async () => {
  const before = bench();
  const id = before.sheet.bear();
  before.steps.write("New row", [typed(id, "number", "N-1"), typed(id, "element", "12")], [id]);
  before.service.loseAnswer = true;
  await assert.rejects(before.outbox.flush(), Lost);
  const kept = stored(pack(before.sheet, before.outbox.unsure));
  const after = bench();
  after.service.keys = before.service.keys;
  after.service.rows = before.service.rows;
  after.outbox.unsure = unpack(after.sheet, kept).batch;
  await after.outbox.flush();
  assert.equal([...after.service.rows.values()].filter((one) => one.number === "N-1").length, 1);
  assert.equal(after.sheet.born.size, 0);
});

test("what is not of this form is passed over", () => {
  for (const kept of [null, 3, "x", {}, { form: 2, born: [], edits: [], gone: [] }]) assert.equal(unpack(bench().sheet, kept).many, 0);
});
