import assert from "node:assert/strict";
import test from "node:test";

import { pack, unpack } from "../../../surveys/client/model/sheet/keep.js";
import { bench } from "./bench.js";

/** A row that I remove while somebody else writes in it. */
async function crossed(values = { part: "theirs" }) {
  const one = bench();
  one.steps.remove("Removal", ["s1"]);
  one.service.elsewhere("s1", values);
  await one.outbox.flush();
  return one;
}

test("a row that somebody changed while I removed it stays, and both sides are told", async () => {
  const { sheet, service, outbox } = await crossed();
  assert.ok(service.rows.has("s1"));
  assert.deepEqual(sheet.ids().sort(), ["s1", "s2", "s3"]);
  const cell = sheet.cell("s1", "part");
  assert.deepEqual([cell.state, cell.text, cell.theirs, cell.removed], ["clash", "", "theirs", true]);
  assert.equal(sheet.cell("s1", "number").state, "clean");
  assert.deepEqual(sheet.counts(), { unsaved: 0, refused: 0, clashes: 1 });
  assert.deepEqual(sheet.inState("clash"), [{ id: "s1", name: "part" }]);
  await outbox.flush();
  assert.ok(service.rows.has("s1"), "nothing is removed unasked");
});

test("it is removed all the same when that is chosen", async () => {
  const { sheet, service, outbox } = await crossed();
  sheet.keepMine("s1", "part");
  await outbox.flush();
  assert.ok(!service.rows.has("s1"));
  assert.deepEqual(sheet.ids().sort(), ["s2", "s3"]);
});

test("it stays as they wrote it when that is chosen, and undo has nothing to bring back twice", async () => {
  const { sheet, service, outbox, steps } = await crossed();
  sheet.takeTheirs("s1", "part");
  assert.deepEqual([sheet.text("s1", "part"), sheet.cell("s1", "part").state], ["theirs", "clean"]);
  await outbox.flush();
  steps.undo();
  await outbox.flush();
  assert.equal(service.rows.get("s1").part, "theirs");
});

test("to type in such a row is to keep it", async () => {
  const { sheet, service, outbox, steps } = await crossed();
  steps.write("Typing", [{ id: "s1", name: "height_mm", text: "5" }]);
  await outbox.flush();
  assert.deepEqual([service.rows.get("s1").height_mm, service.rows.get("s1").part], [5, "theirs"]);
  assert.equal(sheet.counts().clashes, 0);
});

test("a change that the removal does not concern keeps nobody from it", async () => {
  const { service } = await crossed({ layer_count: 7 });
  assert.ok(!service.rows.has("s1"));
});

test("what I wrote myself just before is no change of somebody else's", async () => {
  const { sheet, steps, outbox, service } = bench();
  let open = () => {};
  service.gate = new Promise((resolve) => { open = resolve; });
  steps.write("Typing", [{ id: "s1", name: "part", text: "mine" }]);
  const sending = outbox.flush();
  steps.remove("Removal", ["s1"]);
  open();
  await sending;
  await outbox.flush();
  assert.ok(!service.rows.has("s1"));
  assert.equal(sheet.counts().clashes, 0);
});

test("what a row said when it was removed outlasts a reload", () => {
  const before = bench();
  before.steps.remove("Removal", ["s1"]);
  const kept = JSON.parse(JSON.stringify(pack(before.sheet, null)));
  const after = bench();
  after.sheet.load([after.service.elsewhere("s1", { part: "theirs" })]);
  unpack(after.sheet, kept);
  assert.deepEqual([after.sheet.cell("s1", "part").state, after.sheet.cell("s1", "part").theirs], ["clash", "theirs"]);
  // As it was kept before rows were kept with it.
  const older = bench();
  unpack(older.sheet, { ...kept, gone: ["s1"] });
  assert.equal(older.sheet.gone.get("s1").state, "unsaved");
});
