import assert from "node:assert/strict";
import test from "node:test";

import { Cuts, cutsOf } from "../../../surveys/client/model/pictures/cuts.js";

const made = () => new Cuts([10, 30, 60, 100], 120);
const layer = (index, from_px, to_px, end = "") => ({ index, from_px, to_px, end });

test("boundaries are those of the layers proper, without the ends", () => {
  assert.deepEqual(cutsOf([layer(0, 0, 10, "substrate"), layer(1, 10, 30), layer(2, 30, 60), layer(3, 60, 90, "resin")]), [10, 30, 60]);
  assert.deepEqual(cutsOf([layer(0, 0, 10, "substrate")]), []);
});

test("a boundary goes no farther than its neighbours and the ends of the line", () => {
  const cuts = made();
  cuts.move(1, 500);
  assert.deepEqual(cuts.all, [10, 59, 60, 100]);
  cuts.put(3, 500);
  assert.equal(cuts.all[3], 120);
  cuts.put(0, -5);
  assert.equal(cuts.all[0], 0);
  assert.match(cuts.move(0, -1), /cannot go farther/);
});

test("a layer is split in its middle or at a place, unless it is too thin", () => {
  const cuts = made();
  assert.match(cuts.split(2), /Layer 2 split at 45 px/);
  assert.deepEqual(cuts.all, [10, 30, 45, 60, 100]);
  assert.match(cuts.split(1, 10.2), /too thin/);
  assert.match(cuts.split(9), /no such layer/);
});

test("layers are merged, the outermost left out, and one stays", () => {
  const cuts = made();
  assert.match(cuts.merge(1), /Layers 1 and 2 merged/);
  assert.match(cuts.merge(2), /left out/);
  assert.deepEqual(cuts.all, [10, 60]);
  assert.match(cuts.merge(0), /One layer is the least/);
});

test("what was done is undone step by step and done again, and a run of moves is one step", () => {
  const cuts = made();
  for (const by of [1, 1, 10]) cuts.move(1, by);
  cuts.split(3);
  assert.deepEqual(cuts.all, [10, 42, 60, 80, 100]);
  assert.match(cuts.undo(), /Undone: Layer 3 split/);
  cuts.undo();
  assert.deepEqual(cuts.all, [10, 30, 60, 100]);
  assert.match(cuts.undo(), /nothing to undo/);
  cuts.redo();
  assert.deepEqual(cuts.all, [10, 42, 60, 100]);
  cuts.merge(2);
  assert.match(cuts.redo(), /nothing to do again/);
});

test("a place is in a layer or in none, and has a nearest boundary", () => {
  const cuts = made();
  assert.deepEqual([5, 10, 29, 30, 99, 100].map((far) => cuts.layerAt(far)), [0, 1, 1, 2, 3, 0]);
  assert.deepEqual([0, 44, 46, 500].map((far) => cuts.nearest(far)), [0, 1, 2, 3]);
});
