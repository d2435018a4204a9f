import assert from "node:assert/strict";
import test from "node:test";

import { Lost, Problem } from "../../../surveys/client/model/problems.js";
import { readNamesAnew } from "../../../surveys/client/model/sheet/references.js";
import { bench, faults, row } from "./bench.js";

const typed = (id, name, text) => ({ id, name, text });

test("a cell is unsaved, saving, saved", async () => {
  const { sheet, steps, outbox, service } = bench();
  let open = () => {};
  service.gate = new Promise((resolve) => { open = resolve; });
  steps.write("Typing", [typed("s1", "part", "edge")]);
  assert.equal(sheet.cell("s1", "part").state, "unsaved");
  const sending = outbox.flush();
  assert.equal(sheet.cell("s1", "part").state, "saving");
  open();
  await sending;
  assert.equal(sheet.cell("s1", "part").state, "saved");
  assert.equal(service.rows.get("s1").part, "edge");
});

test("a paste is one batch, and its undo is one more", async () => {
  const { steps, outbox, service } = bench();
  steps.write("Paste", ["s1", "s2", "s3"].flatMap((id) => [typed(id, "part", "x"), typed(id, "height_mm", "5")]));
  await outbox.flush();
  assert.equal(service.batches.length, 1);
  assert.equal(service.batches[0].length, 3);
  steps.undo();
  await outbox.flush();
  assert.equal(service.batches.length, 2);
  assert.deepEqual([...service.rows.values()].map((one) => [one.part, one.height_mm]), [["", null], ["", null], ["", null]]);
});

test("at most 5,000 rows go at once", async () => {
  const many = Array.from({ length: 5001 }, (_, index) => row(`r${index}`));
  const { steps, outbox, service } = bench(many);
  steps.write("Paste", many.map((one) => typed(one.id, "part", "x")));
  await outbox.flush();
  assert.deepEqual(service.batches.map((one) => one.length), [5000, 1]);
});

test("a cell that means nothing is not sent and does not keep the others from it", async () => {
  const { sheet, steps, outbox, service } = bench();
  steps.write("Paste", [typed("s1", "height_mm", "tall"), typed("s1", "part", "edge"), typed("s2", "part", "edge")]);
  await outbox.flush();
  assert.equal(service.rows.get("s1").part, "edge");
  const cell = sheet.cell("s1", "height_mm");
  assert.deepEqual([cell.text, cell.state], ["tall", "refused"]);
  assert.match(cell.reason, /number/);
});

test("what names a record that is known only later is sent when it is known", async () => {
  const { sheet, steps, outbox, service } = bench();
  steps.write("Typing", [typed("s1", "element", "202-DC")]);
  await outbox.flush();
  assert.equal(sheet.cell("s1", "element").state, "refused");
  assert.equal(readNamesAnew(sheet), false);
  sheet.context.references.set("elements", [["e1", "101-BB"], ["e9", "202-DC"]]);
  assert.equal(readNamesAnew(sheet), true);
  assert.equal(sheet.cell("s1", "element").state, "unsaved");
  await outbox.flush();
  assert.equal(service.rows.get("s1").element, "e9");
});

test("what the service refuses is marked with its reason, and the rest is sent", async () => {
  const { sheet, steps, outbox, service } = bench();
  service.faults = (operations) => {
    const at = operations.findIndex((one) => one.values?.status === "lost");
    return at < 0 ? null : faults([at, "status", "'lost' is not in the list."]);
  };
  steps.write("Paste", [typed("s1", "part", "a"), typed("s2", "status", "lost"), typed("s2", "part", "b"), typed("s3", "part", "c")]);
  await outbox.flush();
  assert.deepEqual(["s1", "s2", "s3"].map((id) => service.rows.get(id).part), ["a", "b", "c"]);
  assert.deepEqual(sheet.cell("s2", "status"), { text: "lost", state: "refused", reason: "'lost' is not in the list.", theirs: "" });
  assert.equal(outbox.next(), null);
});

test("a refused cell is sent again once its row is changed", async () => {
  const { sheet, steps, outbox, service } = bench();
  service.faults = (operations) => (operations.some((one) => one.values?.status === "lost") ? faults([0, "status", "no"]) : null);
  steps.write("Typing", [typed("s1", "status", "lost")]);
  await outbox.flush();
  steps.write("Typing", [typed("s1", "status", "mounted")]);
  await outbox.flush();
  assert.equal(service.rows.get("s1").status, "mounted");
  assert.equal(sheet.cell("s1", "status").state, "saved");
});

for (const [how, name, text] of [["in its place", "status", "mounted"], ["beside it", "part", "edge"]]) {
  test(`what is typed ${how} before a refusal comes is sent, and does not bear it`, async () => {
    const { sheet, steps, outbox, service } = bench();
    let open = () => {};
    service.gate = new Promise((resolve) => { open = resolve; });
    // The list does not take 'lost' unless the edge is told.
    service.faults = ([one]) => (one.values?.status === "lost" && one.values.part !== "edge" ? faults([0, "status", "no"]) : null);
    steps.write("Typing", [typed("s1", "status", "lost")]);
    const sending = outbox.flush();
    steps.write("Typing", [typed("s1", name, text)]);
    open();
    await sending;
    assert.deepEqual(sheet.counts(), { unsaved: 0, refused: 0, clashes: 0 });
    assert.equal(service.rows.get("s1")[name], text);
    assert.equal(service.batches.length, 2);
  });
}

test("fields that are judged together are refused together", async () => {
  const { sheet, steps, outbox, service } = bench(undefined, { together: [["part", "height_mm"]] });
  service.faults = (operations) => (operations.some((one) => one.values && "height_mm" in one.values) ? faults([0, "part", "Give both."]) : null);
  steps.write("Typing", [typed("s1", "height_mm", "4"), typed("s1", "taken_on", "2026-05-14")]);
  await outbox.flush();
  assert.equal(sheet.cell("s1", "height_mm").reason, "Give both.");
  assert.equal(service.rows.get("s1").taken_on, "2026-05-14");
});

test("a refusal that names no row is narrowed down to the row at fault", async () => {
  const many = Array.from({ length: 9 }, (_, index) => row(`r${index}`));
  const { sheet, steps, outbox, service } = bench(many);
  service.faults = (operations) => (operations.some((one) => one.id === "r5") ? new Problem(409, "against-the-order", "Layers would fall.") : null);
  steps.write("Paste", many.map((one) => typed(one.id, "part", "x")));
  await outbox.flush();
  assert.equal([...service.rows.values()].filter((one) => one.part === "x").length, 8);
  assert.equal(sheet.cell("r5", "part").reason, "Layers would fall.");
});

test("who may not write is told so once, and nothing is tried in parts", async () => {
  const { sheet, steps, outbox, service } = bench();
  service.faults = () => new Problem(403, "forbidden", "You may not.");
  steps.write("Paste", [typed("s1", "part", "x"), typed("s2", "part", "x")]);
  await outbox.flush();
  assert.equal(service.batches.length, 1);
  assert.equal(sheet.cell("s2", "part").reason, "You may not.");
});

test("another's change of another cell is no clash: mine is sent on top of it", async () => {
  const { sheet, steps, outbox, service } = bench();
  service.elsewhere("s1", { status: "mounted" });
  steps.write("Typing", [typed("s1", "part", "edge")]);
  await outbox.flush();
  assert.deepEqual([service.rows.get("s1").part, service.rows.get("s1").status], ["edge", "mounted"]);
  assert.equal(sheet.cell("s1", "part").state, "saved");
});

test("another's change of the same cell is a clash that shows both; mine can be kept", async () => {
  const { sheet, steps, outbox, service } = bench();
  service.elsewhere("s1", { part: "middle" });
  steps.write("Typing", [typed("s1", "part", "edge"), typed("s2", "part", "x")]);
  await outbox.flush();
  assert.deepEqual(sheet.cell("s1", "part"), { text: "edge", state: "clash", reason: "Somebody else changed this meanwhile.", theirs: "middle" });
  assert.equal(service.rows.get("s1").part, "middle");
  assert.equal(service.rows.get("s2").part, "x");
  sheet.keepMine("s1", "part");
  await outbox.flush();
  assert.equal(service.rows.get("s1").part, "edge");
});

test("in a clash theirs can be taken, and the same value is none", async () => {
  const { sheet, steps, outbox, service } = bench();
  sheet.rebase(service.elsewhere("s1", { part: "middle" }));
  steps.write("Typing", [{ ...typed("s1", "part", "edge"), base: "" }, { ...typed("s2", "part", "y"), base: "" }]);
  assert.equal(sheet.cell("s1", "part").state, "clash");
  sheet.takeTheirs("s1", "part");
  assert.deepEqual([sheet.cell("s1", "part").text, sheet.cell("s1", "part").state], ["middle", "clean"]);
  sheet.rebase(service.elsewhere("s2", { part: "y" }));
  assert.equal(sheet.edit("s2", "part"), undefined);
  assert.equal(outbox.next(), null);
});

test("what is typed while the cell is on its way is sent afterwards", async () => {
  const { sheet, steps, outbox, service } = bench();
  let open = () => {};
  service.gate = new Promise((resolve) => { open = resolve; });
  steps.write("Typing", [typed("s1", "part", "first")]);
  const sending = outbox.flush();
  steps.write("Typing", [typed("s1", "part", "second")]);
  open();
  await sending;
  assert.deepEqual(service.batches.map((one) => one[0].values.part), ["first", "second"]);
  assert.equal(service.rows.get("s1").part, "second");
  assert.equal(sheet.cell("s1", "part").state, "saved");
});

test("going back to what was recorded, while another value is on its way, is sent too", async () => {
  const { steps, outbox, service } = bench();
  let open = () => {};
  service.gate = new Promise((resolve) => { open = resolve; });
  steps.write("Typing", [typed("s1", "part", "wrong")]);
  const sending = outbox.flush();
  steps.undo();
  open();
  await sending;
  assert.equal(service.rows.get("s1").part, "");
});

test("a lost connection loses nothing, and nothing is done twice", async () => {
  const { sheet, steps, outbox, service } = bench();
  const id = sheet.bear();
  steps.write("Typing", [typed(id, "number", "N-1"), typed(id, "element", "101-DL")], [id]);
  service.loseAnswer = true;
  await assert.rejects(outbox.flush(), Lost);
  assert.equal(sheet.cell(id, "number").state, "unsaved");
  await outbox.flush();
  assert.equal([...service.rows.values()].filter((one) => one.number === "N-1").length, 1);
  assert.equal(sheet.rows.has(id), false);
  assert.equal(sheet.cell("made-1", "number").state, "saved");
});

test("an ended session keeps what is typed until one is signed in again", async () => {
  const { sheet, steps, outbox, service } = bench();
  service.faults = () => new Problem(401, "not-signed-in", "Sign in.");
  steps.write("Typing", [typed("s1", "part", "edge")]);
  await assert.rejects(outbox.flush(), Problem);
  assert.equal(sheet.cell("s1", "part").state, "unsaved");
  service.faults = () => null;
  await outbox.flush();
  assert.equal(service.rows.get("s1").part, "edge");
});

test("a new row waits for what it needs, and says so", async () => {
  const { sheet, steps, outbox, service } = bench();
  const id = sheet.bear();
  steps.write("Typing", [typed(id, "part", "edge")], [id]);
  await outbox.flush();
  assert.equal(service.batches.length, 0);
  assert.match(sheet.cell(id, "number").reason, /needed/);
  steps.write("Typing", [typed(id, "number", "N-1"), typed(id, "element", "12")]);
  await outbox.flush();
  assert.deepEqual(service.batches[0], [{ op: "create", values: { part: "edge", number: "N-1", element: "e3" } }]);
});

test("rows are removed in one batch, and one that is cited stays with the reason", async () => {
  const { sheet, steps, outbox, service } = bench();
  service.faults = (operations) => (operations.some((one) => one.id === "s2") ? new Problem(409, "cited", "s2 is cited.") : null);
  steps.remove("Remove", ["s1", "s2"]);
  assert.deepEqual(sheet.ids(), ["s3"]);
  await outbox.flush();
  assert.deepEqual(sheet.ids(), ["s2", "s3"]);
  assert.match(sheet.cell("s2", "part").reason, /Not removed. s2 is cited/);
});

test("rows that nobody named are not sent for a row that somebody else removed", async () => {
  const { sheet, steps, outbox, service } = bench();
  service.rows.delete("s1");
  steps.write("Paste", [typed("s1", "part", "x"), typed("s2", "part", "x")]);
  await outbox.flush();
  assert.equal(service.rows.get("s2").part, "x");
  assert.equal(sheet.cell("s1", "part").state, "refused");
});
