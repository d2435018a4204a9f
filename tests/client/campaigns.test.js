import assert from "node:assert/strict";
import test from "node:test";

import { likelyPhase, offerWords, operations, outside, pairWords, putWords } from "../../surveys/client/model/campaigns.js";

function generation(name, more = {}) {
  const [space, ordinal] = name.split("/");
  return { id: `id ${name}`, version: 3, name, space, ordinal: Number(ordinal), label: "", earliest: null, latest: null, phase: null, phase_id: null, ...more };
}

const pair = { first: "101/4", second: "102/5", chance: 0.8399, reasons: ["the same colour on the door casing (ΔE00 0.6)", "binder in both: oil"] };
const offer = { generations: [generation("101/4"), generation("102/5", { label: "the sale" })], chance: 0.8399, earliest: 1850, latest: 1872, phase_id: null, pairs: [pair] };

test("an offer says what may be one campaign, how surely and between which years, never surer than it is", () => {
  assert.equal(offerWords(offer), "101/4 and 102/5 (the sale) may be one campaign: 83 %; their bounds leave 1850 to 1872.");
  const three = { ...offer, generations: [...offer.generations, generation("201/3")], pairs: [pair, { ...pair, second: "201/3" }], earliest: null, latest: null };
  assert.equal(offerWords(three), "101/4, 102/5 (the sale) and 201/3 may be one campaign: 83 % for the weakest pair.");
});

test("a pair says what it shares, and that it is the order where there is nothing else", () => {
  assert.equal(pairWords(pair), "101/4 and 102/5, 83 %: the same colour on the door casing (ΔE00 0.6); binder in both: oil.");
  assert.equal(pairWords({ ...pair, reasons: [] }), "101/4 and 102/5, 83 %: order alone.");
});

test("only those that are not in the phase yet are changed, each with its version", () => {
  const half = { ...offer, generations: [generation("101/4", { phase_id: "p" }), generation("102/5", { phase_id: "q" }), generation("201/3")] };
  assert.deepEqual(outside(half, "p").map((one) => one.name), ["102/5", "201/3"]);
  assert.deepEqual(operations(half, "p"), [
    { op: "change", id: "id 102/5", version: 3, values: { phase: "p" } }, { op: "change", id: "id 201/3", version: 3, values: { phase: "p" } },
  ]);
});

test("the button names what it puts where", () => {
  assert.equal(putWords(offer, "p"), "Put both in it");
  assert.equal(putWords({ ...offer, generations: [generation("101/4", { phase_id: "p" }), generation("102/5")] }, "p"), "Put 102/5 in it");
});

test("a phase is proposed only where some are in it or no other one will do", () => {
  const phases = [{ id: "a", earliest: 1790, latest: 1849 }, { id: "b", earliest: 1850, latest: 1900 }];
  assert.equal(likelyPhase({ ...offer, phase_id: "z" }, phases), "z");
  assert.equal(likelyPhase(offer, phases), "b");
  assert.equal(likelyPhase({ ...offer, earliest: 1840 }, phases), "");
  assert.equal(likelyPhase({ ...offer, earliest: null, latest: 1800 }, phases), "a");
  assert.equal(likelyPhase(offer, [...phases, { id: "c", earliest: null, latest: null }]), "");
  assert.equal(likelyPhase(offer, []), "");
});
