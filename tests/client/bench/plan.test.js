import assert from "node:assert/strict";
import test from "node:test";

import { placings, reconciled, settled } from "../../../surveys/client/model/bench/plan.js";

/** A sequence that is the same in every run (Park and Miller's minimal standard generator, CACM 31, 1988). */
function dice(seed) {
  let state = seed;
  return (most) => {
    state = (state * 16807) % 2147483647;
    return state % most;
  };
}

test("one new layer is one row", () => {
  assert.deepEqual(placings(["a", "b"], ["a", "x", "b"]), [{ id: "x", position: 2, makes: true }]);
  assert.deepEqual(placings([], ["x"]), [{ id: "x", position: 1, makes: true }]);
});

test("one move is one row, and nothing to do is none", () => {
  assert.deepEqual(placings(["a", "b", "c"], ["b", "c", "a"]), [{ id: "a", position: 3, makes: false }]);
  assert.deepEqual(placings(["a", "b"], ["a", "b"]), []);
});

test("a layer about to be removed is still in the way when the rows are read", () => {
  assert.deepEqual(placings(["gone", "a"], ["x", "a"]).map((one) => one.id), ["x"]);
  assert.deepEqual(settled(["gone", "a"], placings(["gone", "a"], ["x", "a"])).filter((id) => id !== "gone"), ["x", "a"]);
});

test("whatever is moved, made and taken out, the layers come to stand as wanted within as many batches as there are layers", () => {
  const throws = dice(17);
  let several = 0;
  for (let round = 0; round < 3000; round += 1) {
    const many = 1 + throws(8);
    let there = Array.from({ length: many }, (_, index) => `l${index}`);
    const wanted = there.filter(() => throws(6) > 0);
    for (let moves = throws(4); moves > 0 && wanted.length > 0; moves -= 1) wanted.splice(throws(wanted.length), 0, ...wanted.splice(throws(wanted.length), 1));
    for (let makes = throws(3); makes > 0; makes -= 1) wanted.splice(throws(wanted.length + 1), 0, `n${makes}`);
    let batches = 0;
    for (let rows = placings(there, wanted); rows.length > 0; rows = placings(there, wanted)) {
      there = settled(there, rows);
      batches += 1;
      assert.ok(batches <= many + 1, `${wanted} does not come about`);
    }
    if (batches > 1) several += 1;
    assert.deepEqual(there.filter((id) => wanted.includes(id)), wanted);
  }
  // Else the case in which the rows must come one at a time would never have been tried.
  assert.ok(several > 0);
});

test("what others add appears beside its neighbour while my own move stands", () => {
  const exists = () => true;
  assert.deepEqual(reconciled(["b", "a", "c"], ["a", "b", "c"], ["a", "x", "b", "c"], exists), ["b", "a", "x", "c"]);
  assert.deepEqual(reconciled(["a", "new", "b"], ["a", "b"], ["b", "a"], exists), ["b", "a", "new"]);
  assert.deepEqual(reconciled(["a", "b"], ["a", "b"], ["b"], (id) => id === "b"), ["b"]);
});
