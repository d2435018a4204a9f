import assert from "node:assert/strict";
import test from "node:test";

import { lines, signed, sum } from "../../../surveys/client/model/chart/weights.js";

function why(terms, more = {}) {
  const made = terms.map(([name, decibans, odds, own = "", here = "", there = ""]) => ({ name, decibans, odds, own, here, there }));
  return { layer: "A/2", generation: 4, confidence: 0.6, against: 5, probability: 0.6, against_probability: 0.3, decided_by_ruling: false, unit: "deciban",
    total: made.reduce((all, one) => all + one.decibans, 0), odds: "2.0 to 1", sentence: "", terms: made, notes: [], ...more };
}

test("the weightiest comes first, its side told in words and its length by the longest", () => {
  const made = lines(why([["binder", 0, "even"], ["UV response", -2, "1.6 to 1", "none", "strong ×2", ""], ["colour, same class", 8, "6.3 to 1"]]));
  assert.deepEqual(made.map((one) => [one.name, one.number, one.says, one.side, one.share]), [
    ["colour, same class", "+8.0", "6.3 to 1 for 4", "for", 1], ["UV response", "−2.0", "1.6 to 1 for 5", "against", 0.25], ["binder", "0.0", "even", "neither", 0],
  ]);
  assert.deepEqual(made[1].seen, ["none", "4: strong ×2"]);
});

test("weak evidence is not drawn as long as strong: the longest bar stands for one deciban at least", () => {
  assert.equal(lines(why([["binder", 0.5, "1.1 to 1"]]))[0].share, 0.5);
});

test("a number is signed with a true minus and never with a minus before nothing", () => {
  assert.deepEqual([3.44, -3.46, 0, -0.04].map(signed), ["+3.4", "−3.5", "0.0", "0.0"]);
});

test("the sum is told for whom it speaks, and as even where it is", () => {
  assert.equal(sum(why([["binder", 3, "2.0 to 1"]])), "2.0 to 1 for 4");
  assert.equal(sum(why([["binder", -3, "2.0 to 1"]])), "2.0 to 1 for 5");
  assert.equal(sum(why([["binder", 0.1, "even"]], { odds: "even" })), "even");
  assert.equal(sum(why([], { total: null })), "");
});
