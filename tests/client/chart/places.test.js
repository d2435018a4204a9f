import assert from "node:assert/strict";
import test from "node:test";

import { heights, layerAt, layersAt, layout, zoomOf } from "../../../surveys/client/model/chart/layout.js";
import { HEAD, moved, settled, start } from "../../../surveys/client/model/chart/moving.js";
import { inSight, offsets, revealed, withKept } from "../../../surveys/client/model/chart/windowing.js";
import { cell, chart, generation, sample } from "./bench.js";

test("the oldest generation is the lowest row, what stands in none is above all, columns of a class stand together", () => {
  const made = layout(chart());
  assert.deepEqual(made.rows.map((row) => row.ordinal), [null, 3, 2, 1]);
  assert.deepEqual(made.groups, [{ name: "wall", from: 0, count: 2 }, { name: "door leaf", from: 2, count: 1 }]);
  assert.deepEqual(layersAt(made, 2, 0).map((one) => one.layer), ["A/2", "A/3"]);
  assert.deepEqual(made.places.get("id C/1"), { row: 0, column: 2, at: 0 });
  assert.equal(layersAt(made, 1, 0).length, 0);
});

test("there is no row of the unplaced where all are placed, and a layer of a column that is not there is left out", () => {
  const made = layout(chart({ cells: [cell("A/1", 1), cell("Z/1", 1)] }));
  assert.deepEqual(made.rows.map((row) => row.ordinal), [3, 2, 1]);
  assert.equal(made.places.size, 1);
});

test("a row is as high as its deepest cell needs", () => {
  const [none, three, two, one] = heights(layout(chart()).rows, "usual");
  assert.ok(two > one);
  assert.equal(none, one);
  assert.equal(three, one);
  assert.equal(zoomOf("enormous"), "usual");
});

test("keys go from layer to layer within a cell, then to the next row, and never off the chart", () => {
  const made = layout(chart());
  let place = start(made);
  assert.equal(layerAt(made, place).layer, "A/1");
  const names = [];
  for (const key of ["ArrowUp", "ArrowUp", "ArrowUp", "ArrowDown", "ArrowRight", "ArrowDown", "ArrowDown"]) {
    place = moved(made, place, key, false);
    names.push(layerAt(made, place)?.layer ?? `empty ${place.row}:${place.column}`);
  }
  assert.deepEqual(names, ["A/2", "A/3", "empty 1:0", "A/3", "empty 2:1", "B/1", "B/1"]);
  assert.deepEqual(moved(made, { row: 3, column: 0, at: 0 }, "ArrowLeft", false), { row: 3, column: HEAD, at: 0 });
  assert.deepEqual(moved(made, { row: 3, column: HEAD, at: 0 }, "ArrowLeft", false), { row: 3, column: HEAD, at: 0 });
});

test("with Ctrl a key goes to the next cell that holds something, or to the edge", () => {
  const made = layout(chart());
  assert.deepEqual(moved(made, { row: 3, column: 1, at: 0 }, "ArrowUp", true), { row: 1, column: 1, at: 0 });
  assert.deepEqual(moved(made, { row: 2, column: 0, at: 1 }, "ArrowRight", true), { row: 2, column: 2, at: 0 });
  assert.deepEqual(moved(made, { row: 1, column: 1, at: 0 }, "ArrowRight", true), { row: 1, column: 2, at: 0 });
  assert.deepEqual(moved(made, { row: 2, column: 0, at: 0 }, "Home", false), { row: 2, column: HEAD, at: 0 });
  assert.deepEqual(moved(made, { row: 2, column: 0, at: 0 }, "End", true), { row: 3, column: 2, at: 0 });
  assert.equal(moved(made, { row: 2, column: 0, at: 0 }, "x", false), null);
});

test("a place that is no more is the nearest that is", () => {
  assert.deepEqual(settled(layout(chart()), { row: 99, column: 99, at: 7 }), { row: 3, column: 2, at: 0 });
});

test("what is in sight is found as by going through all", () => {
  const starts = offsets([10, 30, 20, 40, 10]);
  assert.deepEqual(starts, [0, 10, 40, 60, 100, 110]);
  const slowly = (from, to) => [0, 1, 2, 3, 4].filter((index) => starts[index] < to && starts[index + 1] > from);
  for (let from = 0; from < 110; from += 1) {
    for (const size of [1, 15, 60, 200]) {
      const [first, last] = inSight(starts, from, from + size, 0);
      const wanted = slowly(from, from + size);
      assert.deepEqual([first, last - 1], [wanted[0], wanted[wanted.length - 1]], `${from} + ${size}`);
    }
  }
  assert.deepEqual(inSight(starts, 45, 50, 1), [1, 4]);
  assert.deepEqual(inSight(starts, 0, 110, 9), [0, 5]);
  assert.deepEqual(inSight([0], 0, 100, 2), [0, 0]);
});

test("what has the focus stays in the page although it is out of sight", () => {
  assert.deepEqual(withKept([2, 5], 9), [2, 3, 4, 9]);
  assert.deepEqual(withKept([2, 5], 3), [2, 3, 4]);
  assert.deepEqual(withKept([2, 5], -1), [2, 3, 4]);
});

test("one scrolls just so far that a cell is in sight beside what stays in place", () => {
  assert.equal(revealed(100, 300, 50, 120, 200), 100);
  assert.equal(revealed(100, 300, 50, 80, 110), 80);
  assert.equal(revealed(100, 300, 50, 400, 450), 200);
  assert.equal(revealed(0, 100, 50, 400, 600), 400);
});

test("a chart of 200 samples by 40 generations draws some dozens of its cells", () => {
  const samples = Array.from({ length: 200 }, (_, index) => sample(`S${index}`, "wall"));
  const cells = samples.flatMap((one) => Array.from({ length: 40 }, (_, index) => cell(`${one.sample}/${index + 1}`, index + 1)));
  const made = layout(chart({ samples, cells, generations: Array.from({ length: 40 }, (_, index) => generation(index + 1)) }));
  const [first, last] = inSight(offsets(made.columns.map(() => 152)), 9000, 10200, 2);
  const [top, foot] = inSight(offsets(heights(made.rows, "usual")), 700, 1400, 2);
  assert.ok((last - first) * (foot - top) < 250);
});
