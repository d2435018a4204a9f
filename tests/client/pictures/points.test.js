import assert from "node:assert/strict";
import test from "node:test";

import { Points } from "../../../surveys/client/model/pictures/points.js";
import { carried, formerOf, takenBefore } from "../../../surveys/client/model/pictures/former.js";
import { plateOf } from "../../../surveys/client/model/pictures/looking.js";
import { newest } from "../../../surveys/client/model/pictures/lines.js";
import { pairsOff, pairsTold, registrationTold } from "../../../surveys/client/model/pictures/placement.js";

const path = (more = {}) => new Points([[0, 0], [100, 0], [100, 50]], { width: 20, within: { width: 200, height: 100 }, ...more });

test("points are put at the end or between, as many as there may be, and never beyond the picture", () => {
  const points = path({ most: 5 });
  assert.match(points.add([500, -3]), /Point 4 put\./);
  assert.deepEqual(points.all.at(-1), [200, 0]);
  assert.match(points.halve(0), /Point 2 put between/);
  assert.deepEqual(points.all[1], [50, 0]);
  assert.match(points.add([1, 1]), /All points are there/);
  assert.match(points.halve(4), /no leg/);
  assert.equal(points.all.length, 5);
});

test("a point is moved and taken away, the strip made wider, and each is undone by itself", () => {
  const points = path();
  for (const by of [1, 1, 10]) points.step(1, by, 0);
  points.steps.rest();
  points.step(1, 1, 0);
  points.widen(30);
  points.take(0);
  assert.deepEqual([points.all, points.width], [[[113, 0], [100, 50]], 30]);
  const undone = [1, 2, 3, 4].map(() => [points.undo(), points.all.length, points.width, points.all.at(-2)[0]]);
  assert.deepEqual(undone.map(([, ...rest]) => rest), [[3, 30, 113], [3, 20, 113], [3, 20, 112], [3, 20, 100]]);
  assert.match(points.undo(), /nothing to undo/);
  points.redo();
  assert.equal(points.all[1][0], 112);
  assert.match(points.step(0, -5, 0), /cannot go farther/);
  points.widen(0);
  assert.equal(points.width, 1);
});

test("what lies at a place is a point before a leg, and a leg before a side of the strip", () => {
  const points = path();
  assert.deepEqual(points.hit([3, 3], 6, true), { what: "point", at: 0 });
  assert.deepEqual(points.hit([50, 2], 6, true), { what: "leg", at: 0 });
  assert.deepEqual(points.hit([99, 25], 6, true), { what: "leg", at: 1 });
  assert.deepEqual(points.hit([50, 9], 6, true), { what: "side" });
  assert.equal(points.hit([50, 40], 6, true), null);
  assert.equal(points.hit([-10, 0], 6, true), null);
  assert.equal(points.hit([50, 2], 6, false), null);
  points.spread([50, 12]);
  assert.equal(points.width, 24);
});

test("a path grows at the end that is nearer", () => {
  assert.equal(path().end([-9, 3]), 0);
  assert.equal(path().end([100, 80]), 3);
  assert.equal(new Points([]).end([1, 1]), 0);
});

const change = (fields, more = {}) => ({ fields, reason: "", actor: "Ann", at: "2026-01-02", ...more });
const DRAWN = change({ path: [null, [[0, 0], [100, 0]]], width_px: [null, 8] });

test("boundaries by hand that a changed path or a new reading took away are found again, with the path on which they stood", () => {
  const put = change({ boundaries: [null, [10, 40]] });
  const moved = change({ path: [[[0, 0], [100, 0]], [[0, 5], [100, 5]]], boundaries: [[10, 40], null] });
  const found = formerOf([DRAWN, put, moved]);
  assert.deepEqual([found.path, found.width, found.boundaries, found.actor], [[[0, 0], [100, 0]], 8, [10, 40], "Ann"]);
  assert.deepEqual(formerOf([DRAWN, put, change({ boundaries: [[10, 40], null] }, { reason: "Read." })]).boundaries, [10, 40]);
});

test("boundaries that a person gave up, or put anew since, are no former ones", () => {
  const put = change({ boundaries: [null, [10, 40]] });
  const moved = change({ path: [[[0, 0], [100, 0]], [[0, 5], [100, 5]]], boundaries: [[10, 40], null] });
  assert.equal(formerOf([DRAWN]), null);
  assert.equal(formerOf([DRAWN, put, change({ boundaries: [[10, 40], null] })]), null);
  assert.equal(formerOf([DRAWN, put, moved, change({ boundaries: [null, [12, 44]] })]), null);
});

test("former boundaries come to the nearest places of another path, in order and apart", () => {
  const former = { path: [[0, 0], [100, 0]], width: 8, boundaries: [10, 40, 40.2, 90], actor: "", at: "" };
  assert.deepEqual(carried(former, [[20, 5], [80, 5]]), [0, 20, 21, 60]);
  assert.deepEqual(carried(former, [[100, 3], [0, 3]]), [10, 59.8, 60.8, 90]);
});

test("what was taken over is told where no layer is read there now, or another thickness", () => {
  const line = { layers: [{ index: 1, accepted: "a", accepted_differs: true }, { index: 2, accepted: "b", accepted_differs: false }, { index: 3, accepted: null }] };
  const found = takenBefore([{ id: "1", layer: "a" }, { id: "2", layer: "b" }, { id: "3", layer: "c" }], line);
  assert.deepEqual(found.gone.map((one) => one.layer), ["c"]);
  assert.deepEqual(found.other.map(({ was, is }) => [was.layer, is.index]), [["a", 1]]);
});

test("a plate is of the visible picture, and of the UV one that lies on it", () => {
  const [v, u] = [{ id: "v", kind: "visible micrograph" }, { id: "u", kind: "UV micrograph" }];
  assert.deepEqual(plateOf(u, v, [{ fixed: "v", moving: "u" }]), { visible: "v", uv: "u" });
  assert.deepEqual(plateOf(v, u, []), { visible: "v" });
  assert.deepEqual(plateOf(u, null, []), {});
  assert.deepEqual(plateOf(null, null, []), {});
});

test("each named pair says how far it is off, and three say that nothing checks them", () => {
  const pair = { matrix: [[1, 0, 10], [0, 1, 0], [0, 0, 1]], points: [[[0, 0], [10, 0]], [[5, 5], [18, 9]]] };
  assert.deepEqual(pairsOff(pair), [0, 5]);
  assert.match(pairsTold(2), /at least 3/);
  assert.match(pairsTold(3), /nothing checks them/);
  assert.match(pairsTold(4), /^4 pairs/);
});

test("an answer that was asked for before one's own last act takes nothing back", () => {
  const [old, now] = [{ id: "a", version: 3 }, { id: "a", version: 4 }];
  assert.deepEqual(newest([old, { id: "b", version: 1 }], [now]), [now, { id: "b", version: 1 }]);
  assert.deepEqual(newest([now], [old]), [now]);
  assert.deepEqual(newest([], [now]), []);
});

test("a registration that cannot be relied on says so and why", () => {
  const pair = { method: "points", residual_px: 9.2, points: [[[0, 0], [1, 1]]], inliers: 3, caution: "Check each pair." };
  assert.match(registrationTold(pair, { x: 0, y: 0, width: 1, degrees: 0, left_over: 0 }), /9\.2 px left over\. It cannot be relied on.*Check each pair\./);
});
