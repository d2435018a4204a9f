import assert from "node:assert/strict";
import test from "node:test";

import { followed, mayLook, nextMode, sameView } from "../../../surveys/client/model/pictures/looking.js";

test("one picture alone is looked at alone; two that are not registered only side by side", () => {
  assert.deepEqual(["one", "blink", "split", "beside"].map((one) => mayLook(one, false, false)), [true, false, false, false]);
  assert.deepEqual(["one", "blink", "split", "beside"].map((one) => mayLook(one, true, false)), [true, false, false, true]);
  assert.equal(nextMode("one", true, false), "beside");
  assert.equal(nextMode("beside", true, true), "one");
  assert.equal(nextMode("one", false, true), "one");
});

test("the one beside shows the same place, as large, turned alike, and leads back", () => {
  // The second is half as fine and turned by 90°: its (x, y) lies at (-2y + 100, 2x) of the first.
  const matrix = [[0, -2, 100], [2, 0, 0], [0, 0, 1]];
  const view = { centre: [40, 60], zoom: 3 };
  const there = followed(matrix, 0, view);
  assert.deepEqual([there.centre, there.zoom, there.turn], [[30, 30], 6, 90]);
  const again = followed(matrix, 1, there);
  assert.ok(sameView(again, view));
  assert.equal(again.turn, 0);
  assert.ok(!sameView(view, { centre: [41, 60], zoom: 3 }));
  assert.equal(followed([[0, 0, 0], [0, 0, 0], [0, 0, 1]], 0, view), null);
});
