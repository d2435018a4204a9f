import assert from "node:assert/strict";
import test from "node:test";

import { bench, row } from "./bench.js";

const typed = (id, name, text) => ({ id, name, text });

test("undo and redo go back and forth", async () => {
  const { sheet, steps, outbox, service } = bench([row("s1", { part: "edge" })]);
  steps.write("Typing", [typed("s1", "part", "middle")]);
  steps.write("Typing", [typed("s1", "part", "corner")]);
  steps.undo();
  assert.equal(sheet.text("s1", "part"), "middle");
  steps.undo();
  assert.equal(sheet.text("s1", "part"), "edge");
  assert.equal(outbox.next(), null);
  steps.redo();
  steps.redo();
  assert.equal(sheet.text("s1", "part"), "corner");
  await outbox.flush();
  assert.equal(service.rows.get("s1").part, "corner");
  assert.equal(steps.redo(), null);
});

test("a new step forgets what was undone", () => {
  const { steps } = bench();
  steps.write("Typing", [typed("s1", "part", "a")]);
  steps.undo();
  steps.write("Typing", [typed("s2", "part", "b")]);
  assert.equal(steps.redo(), null);
});

test("undo leaves what somebody else changed since, and says how many cells", async () => {
  const { sheet, steps, outbox, service } = bench();
  steps.write("Paste", [typed("s1", "part", "x"), typed("s2", "part", "x")]);
  await outbox.flush();
  sheet.rebase(service.elsewhere("s2", { part: "theirs" }));
  const undone = steps.undo();
  assert.equal(undone.left, 1);
  assert.deepEqual([sheet.text("s1", "part"), sheet.text("s2", "part")], ["", "theirs"]);
});

test("undoing a paste that made rows removes them; redoing makes them anew", async () => {
  const { sheet, steps, outbox, service } = bench();
  const id = sheet.bear();
  steps.write("Paste", [typed(id, "number", "N-1"), typed(id, "element", "12")], [id]);
  await outbox.flush();
  assert.ok(service.rows.has("made-1"));
  steps.undo();
  await outbox.flush();
  assert.equal(service.rows.has("made-1"), false);
  steps.redo();
  await outbox.flush();
  assert.equal(service.rows.get("made-2").number, "N-1");
  steps.undo();
  await outbox.flush();
  assert.equal(service.rows.has("made-2"), false);
});

test("a row that was never sent comes and goes without the service", () => {
  const { sheet, steps, outbox } = bench();
  const id = sheet.bear();
  steps.write("New row", [typed(id, "part", "x")], [id]);
  steps.undo();
  assert.equal(sheet.ids().length, 3);
  steps.redo();
  assert.equal(sheet.ids().length, 4);
  assert.equal(sheet.text(sheet.ids()[3], "part"), "x");
  assert.equal(outbox.next(), null);
});

test("undoing a removal brings back what it held", async () => {
  const { sheet, steps, outbox, service } = bench([row("s1", { part: "edge", height_mm: 7 }), row("s2")]);
  steps.remove("Remove", ["s1"]);
  steps.undo();
  assert.deepEqual(sheet.ids(), ["s1", "s2"]);
  assert.equal(outbox.next(), null);
  steps.redo();
  await outbox.flush();
  assert.equal(service.rows.has("s1"), false);
  steps.undo();
  await outbox.flush();
  assert.deepEqual([service.rows.get("made-1").part, service.rows.get("made-1").height_mm], ["edge", 7]);
});

test("what others hang on is asked back from the service, not typed anew", async () => {
  const { steps, outbox } = bench(undefined, { bears: true });
  steps.remove("Remove", ["s1"]);
  await outbox.flush();
  assert.deepEqual(steps.undo()?.restore, ["s1"]);
});

test("undo follows a record that was new when it was typed", async () => {
  const { sheet, steps, outbox, service } = bench();
  const id = sheet.bear();
  steps.write("New row", [typed(id, "number", "N-1"), typed(id, "element", "12")], [id]);
  steps.write("Typing", [typed(id, "part", "edge")]);
  await outbox.flush();
  steps.undo();
  await outbox.flush();
  assert.equal(service.rows.get("made-1").part, "");
});

test("a refused cell is undone to what was there", async () => {
  const { sheet, steps } = bench([row("s1", { height_mm: 5 })]);
  steps.write("Typing", [typed("s1", "height_mm", "tall")]);
  assert.equal(sheet.cell("s1", "height_mm").state, "refused");
  steps.undo();
  assert.deepEqual([sheet.text("s1", "height_mm"), sheet.cell("s1", "height_mm").state], ["5", "clean"]);
});

test("typing what stands there already is no step", () => {
  const { steps } = bench([row("s1", { part: "edge" })]);
  steps.write("Typing", [typed("s1", "part", "edge")]);
  assert.equal(steps.undo(), null);
});

test("a record that undoing leaves without what it needs is refused in words at once, nothing is sent, and one more step takes it away", async () => {
  const { sheet, steps, outbox, service } = bench();
  const id = sheet.bear();
  steps.write("New row", [], [id]);
  steps.write("Paste", [typed(id, "number", "N-1"), typed(id, "element", "12")]);
  await outbox.flush();
  steps.undo();
  assert.deepEqual(sheet.cell("made-1", "number"), { text: "", state: "refused", reason: "This is needed. Put back what is recorded, or remove the row.", theirs: "" });
  assert.equal(outbox.next(), null);
  assert.equal(service.rows.get("made-1").number, "N-1");
  steps.undo();
  await outbox.flush();
  assert.equal(service.rows.has("made-1"), false);
});
