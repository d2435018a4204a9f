import assert from "node:assert/strict";
import test from "node:test";

import { pack, samplesOf, unpack } from "../../../surveys/client/model/bench/keep.js";
import { bench, layer, told } from "./service.js";

const ABC = [layer("a", 1, { colour: "a" }), layer("b", 2, { colour: "b" }), layer("c", 3, { colour: "c" })];
const served = (service) => service.layers.map((one) => one.colour || one.id);
const positions = (service) => assert.deepEqual(service.layers.map((one) => one.position), service.layers.map((_, index) => index + 1));
const NONE = { layer: null, sample: null };

test("a layer added between others is sent once its kind is known, at its place", async () => {
  const { bench: made, service } = bench(ABC);
  const { focus } = made.act("s", "above", "a");
  await made.flush();
  assert.equal(service.batches.length, 0);
  made.type("layer", focus, "colour", "x");
  made.type("layer", focus, "kind", "paint");
  await made.flush();
  assert.deepEqual(served(service), ["a", "x", "b", "c"]);
  assert.equal(service.batches.length, 1);
  assert.deepEqual(told(made), ["a", "x", "b", "c"]);
  positions(service);
});

test("each act is one batch, and its undo is one more", async () => {
  const { bench: made, service } = bench(ABC);
  for (const [act, id, after] of [["up", "a", ["b", "a", "c"]], ["split", "b", ["b", "b", "a", "c"]], ["copy", "c", ["b", "b", "a", "c", "c"]], ["remove", "a", ["b", "b", "c", "c"]]]) {
    made.act("s", act, id);
    await made.flush();
    assert.deepEqual(served(service), after);
  }
  assert.equal(service.batches.length, 4);
  for (const after of [["b", "b", "a", "c", "c"], ["b", "b", "a", "c"], ["b", "a", "c"], ["a", "b", "c"]]) {
    made.undo();
    await made.flush();
    assert.deepEqual(served(service), after);
    assert.deepEqual(told(made), after);
    positions(service);
  }
  assert.equal(service.batches.length, 8);
  for (const after of [["b", "a", "c"], ["b", "b", "a", "c"], ["b", "b", "a", "c", "c"], ["b", "b", "c", "c"]]) {
    made.redo();
    await made.flush();
    assert.deepEqual(served(service), after);
  }
  assert.equal(made.redo(), null);
});

test("a merge and its undo, with the generation withdrawn where the two differed", async () => {
  const placed = [layer("a", 1, { colour: "a", generation: "g1", generation_ordinal: 1 }), layer("b", 2, { colour: "b", generation: "g2", generation_ordinal: 2 })];
  const { bench: made, service } = bench(placed);
  const { focus, said } = made.act("s", "merge", "b");
  assert.equal(focus, "a");
  assert.match(said, /none now/);
  await made.flush();
  assert.deepEqual(served(service), ["a; b"]);
  assert.equal(service.layers[0].generation, null);
  assert.equal(service.batches.length, 1);
  made.undo();
  await made.flush();
  assert.deepEqual(served(service), ["a", "b"]);
  // A computed placement is not turned into a ruling by hand.
  assert.ok(service.batches.every((rows) => rows.every((one) => (one.values?.generation ?? null) === null)));
});

test("what a ruling cites is not removed: the act is taken back and the reason said", async () => {
  for (const act of ["remove", "merge"]) {
    const { bench: made, service, said, went } = bench(ABC);
    service.cited.add("b");
    made.act("s", act, "b");
    assert.equal(made.stack("s").length, 2);
    await made.flush();
    assert.deepEqual(served(service), ["a", "b", "c"]);
    assert.deepEqual(told(made), ["a", "b", "c"]);
    assert.match(said.join(), /Not done.*cited by a tie/);
    assert.deepEqual(went, ["b"]);
    assert.equal(made.counts().unsaved, 0);
  }
});

test("an impossible Munsell notation stays, marked with the reason, and the layer is saved without it", async () => {
  const { bench: made, service } = bench(ABC);
  const { focus } = made.act("s", "above", "c");
  made.type("layer", focus, "munsell", "5R 5/99");
  made.type("layer", focus, "colour", "x");
  made.type("layer", focus, "kind", "paint");
  await made.flush();
  assert.deepEqual(served(service), ["a", "b", "c", "x"]);
  const id = made.orders.get("s").at(-1);
  const cell = made.layers.cell(id, "munsell");
  assert.deepEqual([cell.text, cell.state, cell.reason], ["5R 5/99", "refused", "There is no chroma 99 at this hue."]);
});

test("offline, several acts are kept over a reload and then done as they were", async () => {
  const { bench: made, service } = bench(ABC);
  service.lost = true;
  const { focus } = made.act("s", "above", "a");
  made.type("layer", focus, "kind", "varnish");
  made.type("layer", focus, "colour", "x");
  made.act("s", "down", "c");
  made.act("s", "remove", "a");
  await assert.rejects(made.flush());
  assert.deepEqual(told(made), ["x", "c", "b"]);
  const kept = JSON.parse(JSON.stringify(pack(made, { layer: made.outboxes.layer.unsure, sample: null })));
  assert.deepEqual(samplesOf(kept), ["s"]);

  const again = bench(ABC);
  unpack(again.bench, kept);
  assert.deepEqual(told(again.bench), ["x", "c", "b"]);
  await again.bench.flush();
  assert.deepEqual(served(again.service), ["x", "c", "b"]);
  assert.equal(again.bench.counts().unsaved, 0);
  assert.equal(pack(again.bench, NONE), null);
});

test("an answer that is lost on its way does nothing twice", async () => {
  const { bench: made, service } = bench(ABC);
  service.loseAnswer = true;
  made.act("s", "copy", "b");
  await assert.rejects(made.flush());
  await made.flush();
  assert.deepEqual(served(service), ["a", "b", "b", "c"]);
  assert.deepEqual(told(made), ["a", "b", "b", "c"]);
});

test("somebody else's layer comes in between, and mine still goes where I put it", async () => {
  const { bench: made, service } = bench(ABC);
  service.done([{ op: "create", values: { colour: "x", position: 1 } }]);
  made.act("s", "copy", "b");
  await made.flush();
  assert.deepEqual(served(service), ["x", "a", "b", "b", "c"]);
  assert.deepEqual(told(made), ["x", "a", "b", "b", "c"]);
  positions(service);
});

test("typing during one stay in a field is one step", () => {
  const { bench: made } = bench(ABC);
  for (const text of ["s", "sto", "stone"]) made.type("layer", "a", "colour", text, { session: "1" });
  made.type("layer", "a", "colour", "stone grey", { session: "2" });
  made.undo();
  assert.equal(made.layers.text("a", "colour"), "stone");
  made.undo();
  assert.equal(made.layers.text("a", "colour"), "a");
  assert.equal(made.undo(), null);
  made.redo();
  assert.equal(made.layers.text("a", "colour"), "stone");
});

test("what was entered last is given again with one key", () => {
  const { bench: made } = bench(ABC);
  made.type("layer", "a", "sheen", "matt");
  assert.equal(made.repeat("s", "c", "sheen"), "matt");
  assert.equal(made.layers.text("c", "sheen"), "matt");
  assert.equal(made.repeat("s", "c", "texture"), "");
});

test("an examination is the day and the person, as one step and one batch", async () => {
  const { bench: made, sampleBatches } = bench(ABC);
  made.examined("s", "uv", "2026-05-14", "A. Person");
  await made.flush();
  assert.deepEqual(sampleBatches, [[{ op: "change", id: "s", version: 1, values: { examined_uv_on: "2026-05-14", examined_uv_by: "A. Person" } }]]);
  made.undo();
  assert.equal(made.samples.text("s", "examined_uv_on"), "");
});

test("who may only read changes nothing", () => {
  const { bench: made } = bench(ABC, false);
  const found = made.act("s", "remove", "a");
  assert.ok(found.refused);
  made.type("layer", "a", "colour", "x");
  made.examined("s", "uv", "2026-05-14", "A. Person");
  assert.deepEqual(told(made), ["a", "b", "c"]);
  assert.equal(made.counts().unsaved, 0);
});
