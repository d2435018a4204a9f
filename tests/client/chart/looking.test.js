import assert from "node:assert/strict";
import test from "node:test";

import { gainWords, kindOf, selectWords } from "../../../surveys/client/model/chart/looking.js";

const one = { kind: "layer", layers: ["A/2", "B/3"], layer_ids: ["a", "b"], generations: [2], gain: 12.44, chance: 0.5, sentence: "" };
const all = { space: "101", unit: "bit", doubt: 100, current: true, sentence: "", rulings: [one], examinations: [] };

test("what it would settle is told in bits and as a part of all doubt", () => {
  assert.equal(gainWords(one, all), "12.4 bits, 12 % of the space's doubt");
  assert.equal(gainWords({ ...one, gain: 0.6 }, all), "0.6 bits, under 1 % of the space's doubt");
  assert.equal(gainWords(one, { ...all, doubt: 0 }), "12.4 bits");
});

test("the button says what it selects; who may not rule is only shown", () => {
  assert.equal(selectWords(one, true), "Select A/2 and B/3");
  assert.equal(selectWords({ ...one, layers: ["A/2"] }, true), "Select A/2");
  assert.equal(selectWords({ ...one, layers: ["A/2", "A/3", "A/4"] }, true), "Select its 3 layers");
  assert.equal(selectWords(one, false), "Show A/2");
});

test("every kind has a shape and a word of its own", () => {
  const kinds = ["layer", "joint", "UV", "pigments"].map(kindOf);
  assert.equal(new Set(kinds.map((kind) => kind.mark)).size, 4);
  assert.equal(new Set(kinds.map((kind) => kind.word)).size, 4);
});
