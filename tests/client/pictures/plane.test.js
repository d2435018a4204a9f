import assert from "node:assert/strict";
import test from "node:test";

import { across, along, inverse, length, moved, nearest, strip } from "../../../surveys/client/lib/plane.js";
import { between, placement, registrationTold } from "../../../surveys/client/model/pictures/placement.js";

const close = (found, wanted, off = 1e-6) => assert.ok(found.every((one, at) => Math.abs(one - wanted[at]) < off), `${found} is not ${wanted}`);
const BENT = [[0, 0], [30, 0], [30, 40]];

test("a path is as long as its legs, and a place along it has a point and a direction", () => {
  assert.equal(length(BENT), 70);
  assert.deepEqual(along(BENT, 30 + 10), { point: [30, 10], way: [0, 1] });
  assert.deepEqual(along(BENT, 15).point, [15, 0]);
  assert.deepEqual(along(BENT, 80).point, [30, 50]);
});

test("the nearest place on a path is on its nearest leg", () => {
  assert.deepEqual(nearest(BENT, [10, -4]), { far: 10, off: 4 });
  assert.deepEqual(nearest(BENT, [33, 20]), { far: 50, off: 3 });
  assert.deepEqual(nearest(BENT, [-3, 4]), { far: 0, off: 5 });
});

test("a strip goes around the corner of its path, and a boundary lies across it", () => {
  assert.deepEqual(strip([[0, 0], [10, 0]], 2, 6, 4), [[2, 2], [6, 2], [6, -2], [2, -2]]);
  assert.equal(strip(BENT, 20, 40, 2).length, 6);
  assert.deepEqual(across([[0, 0], [10, 0]], 4, 2), [[4, 1], [4, -1]]);
});

test("a map and its inverse give a point back; what flattens has none", () => {
  const map = [[0.9, -0.2, 14], [0.25, 1.1, -7], [0, 0, 1]];
  close(moved(inverse(map), moved(map, [123, 45])), [123, 45]);
  assert.equal(inverse([[1, 2, 0], [2, 4, 0], [0, 0, 1]]), null);
});

test("a picture turned by 30 degrees, twice as large and moved is placed just so", () => {
  // By hand: cos 30° = 0.8660254, sin 30° = 0.5; twice: 1.7320508 and 1. The middle (50, 25) goes to 1.7320508·50 − 1·25 + 100 = 161.60254
  // and 1·50 + 1.7320508·25 + 10 = 103.30127. Before turning it is 200 × 100, so its corner is at (61.60254, 53.30127).
  const found = placement([[1.7320508, -1, 100], [1, 1.7320508, 10], [0, 0, 1]], { width: 100, height: 50 }, { width: 400, height: 300 });
  close([found.x, found.y, found.width, found.degrees], [61.60254 / 400, 53.30127 / 400, 0.5, 30], 1e-5);
  assert.ok(found.left_over < 1e-4);
});

test("what is sheared is placed as near as turning and sizing come, and how far that is off is told", () => {
  // By hand: a shear of 0.02 on 1000 × 500 is nearest to a turn of 0.01; the corner (500, 250) off the middle lies at (505, 250) and is shown at (502.5, 245).
  const found = placement([[1, 0.02, 0], [0, 1, 0], [0, 0, 1]], { width: 1000, height: 500 }, { width: 1000, height: 500 });
  close([found.left_over], [Math.hypot(2.5, 5)], 1e-6);
  const registration = { method: "features", residual_px: 0.42, points: [], inliers: 80 };
  assert.match(registrationTold(registration, found), /0\.42 px left over.*shears or stretches.*5\.6 px off/);
  assert.match(registrationTold(registration, null), /side by side/);
});

test("a mirrored picture is not laid over another", () => {
  assert.equal(placement([[-1, 0, 100], [0, 1, 0], [0, 0, 1]], { width: 100, height: 100 }, { width: 100, height: 100 }), null);
});

test("two pictures are joined in either direction, strangers not at all", () => {
  const all = [{ moving: "uv", fixed: "v", matrix: [[1, 0, 12], [0, 1, -5], [0, 0, 1]] }];
  close(moved(between(all, "uv", "v"), [0, 0]), [12, -5]);
  close(moved(between(all, "v", "uv"), [12, -5]), [0, 0]);
  assert.equal(between(all, "v", "other"), null);
});
