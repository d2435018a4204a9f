import assert from "node:assert/strict";
import test from "node:test";

import { addressOf, byDiscipline, classesOf, inShort, kindOf, markOf, measureOf, MEASURES, recordsOf, shareOf, targetOf } from "../../surveys/client/model/standing.js";

const cell = (more) => ({
  space: "101", element_class: "wall", elements: 2, planned: [], sampled: [], mounted: [], visible: [], uv: [], layers: 0, placed: 0,
  generations: [], dated: [], interpreted: [], agreed: [], ...more,
});

test("an unknown measure is the first", () => {
  assert.equal(measureOf("colour").key, MEASURES[0].key);
  assert.equal(measureOf("uv").label, "Under UV");
});

test("classes stand in the project's order and unknown ones last", () => {
  const cells = ["other", "sill", "wall", "baseboard"].map((element_class) => cell({ element_class }));
  assert.deepEqual(classesOf(cells, ["baseboard", "wall", "other"]), ["baseboard", "wall", "other", "sill"]);
});

test("samples are led to by their numbers and elements by space and class", () => {
  const { part, whole } = shareOf([cell({ sampled: ["A 1", "B"] })], "sampled", { space: "101", element_class: "wall" });
  assert.equal(part.many, 2);
  assert.equal(addressOf("/projects/X", part.target), "/projects/X/registers/samples?where.number=%3DA%201%7CB");
  assert.equal(whole.many, 2);
  assert.deepEqual(whole.target, { collection: "elements", query: { space: "101", "where.element_class": "=wall" } });
});

test("too many samples for an address, or one with a bar in its number, are led to by space and class", () => {
  const many = Array.from({ length: 200 }, (_, index) => `S${index}`);
  for (const sampled of [many, ["a|b"]]) {
    assert.deepEqual(shareOf([cell({ sampled })], "sampled", { space: "101" }).part.target.query, { space: "101" });
  }
});

test("layers are led to by whether they are placed, generations once each by name", () => {
  const cells = [cell({ layers: 5, placed: 3, generations: ["101/1", "101/2"], dated: ["101/1"] }), cell({ element_class: "door", generations: ["101/2"], layers: 1 })];
  const placed = shareOf(cells, "placed", { space: "101" });
  assert.deepEqual([placed.part.many, placed.whole.many], [3, 6]);
  assert.equal(placed.part.target.query["where.generation"], "(not blank)");
  const dated = shareOf(cells, "dated", { space: "101" });

test("interpreted counts elements of all elements, agreed those of the interpreted", () => {
  const cells = [cell({ elements: 3, interpreted: ["A", "B"], agreed: ["B"] }), cell({ element_class: "door", elements: 1 })];
  const interpreted = shareOf(cells, "interpreted", { space: "101" });
  assert.deepEqual([interpreted.part.many, interpreted.whole.many], [2, 4]);
  const agreed = shareOf(cells, "agreed", { space: "101" });
  assert.deepEqual([agreed.part.many, agreed.whole.many], [1, 2]);
  assert.equal(agreed.part.target?.collection, "elements");
});
  assert.deepEqual([dated.part.many, dated.whole.many], [1, 2]);
  assert.equal(dated.whole.target.query["where.name"], "=101/1|101/2");
});

test("nothing is led to nowhere, and a share is told by shape and word", () => {
  const share = shareOf([cell({})], "uv", { space: "101" });
  assert.equal(share.part.target, null);
  assert.equal(markOf(share).word, "none");
  assert.equal(markOf(shareOf([cell({ sampled: ["A"] })], "sampled", {})).word, "some");
  assert.equal(markOf(shareOf([cell({ sampled: ["A", "B", "C"] })], "sampled", {})).word, "all");
});

test("each kind of gap has a shape, a word and, where a register shows it best, the records", () => {
  const gap = (kind, names = ["A"]) => ({ kind, space: "101", element_class: kind === "unsampled" ? "wall" : "", names, gain: 1, sentence: "", reason: "" });
  assert.equal(kindOf("no UV").word, "no UV");
  assert.deepEqual(targetOf(gap("unsampled")), { collection: "elements", query: { space: "101", "where.element_class": "=wall" } });
  assert.deepEqual(targetOf(gap("planned")), { collection: "samples", query: { "where.number": "=A" } });
  assert.deepEqual(targetOf(gap("one sample", ["101/1"])), { collection: "generations", query: { "where.name": "=101/1" } });
  assert.equal(targetOf(gap("low confidence")).query["where.confidence"], "<0.5");
  assert.equal(targetOf(gap("weak joint")), null);
});

test("a conflict is told in one line", () => {
  const conflict = { sentence: "", records: [{ kind: "evidence", key: "E-1", id: null }, { kind: "phase", key: "3", id: null }], generations: ["101/1", "102/4"] };
  assert.equal(inShort(conflict), "E-1 and phase 3 cannot both be true (2 generations of space 101 and space 102).");
});

const act = (actor, reason, lines) => ({ act: actor + reason, at: "", actor, reason, lines });
const line = (record_type, record_name, action = "created") => ({ record_type, record_name, action, fields: {} });

test("what was done stands under the discipline of who did it, and what was computed under none", () => {
  const found = byDiscipline(
    [act("Hester", "", []), act("Connie", "Correlated.", []), act("Gone", "", []), act("Connie", "", [])],
    [{ name: "Hester", discipline: "architectural history" }, { name: "Connie", discipline: "paint conservation" }],
    ["paint conservation", "architectural history"],
  );
  assert.deepEqual(found.map((one) => [one.discipline, one.acts.length]), [["paint conservation", 1], ["architectural history", 1], ["computed", 1], ["no longer a member", 1]]);
});

test("the records of an act are led to, but not what was removed", () => {
  const found = recordsOf(act("x", "", [line("layer", "A/1"), line("layer", "A/2"), line("evidence", "E-1"), line("sample", "B", "removed"), line("ruling", "tie")]));
  assert.deepEqual(found.map((one) => [one.text, one.target.query]), [["2 layers", { "where.name": "=A/1|A/2" }], ["evidence E-1", { "where.reference": "=E-1" }]]);
});
