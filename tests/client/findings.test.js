import assert from "node:assert/strict";
import test from "node:test";

import { asked, citesAsked, columns, moveTold, moveWord, narrowed, newAddress, pageOf, sameCites, sent, stateMark, STATES, whenTold } from "../../surveys/client/model/findings.js";

const ID = "6f9619ff-8b86-4d01-b42d-00cf4fc964ff";
const cite = (type, id, note = "") => ({ type, id, name: "x", note });

test("each state has a shape of its own beside its word", () => {
  const marks = STATES.map((state) => stateMark(state));
  assert.equal(new Set(marks.map((one) => one.mark)).size, 5);
  assert.deepEqual(marks.map((one) => one.word), [...STATES]);
});

test("a move is named by where it comes from", () => {
  assert.equal(moveWord("working", "for comment"), "Put up for comment");
  assert.equal(moveWord("disputed", "for comment"), "Put up for comment again");
  assert.equal(moveWord("agreed", "for comment"), "Take back for comment");
  assert.equal(moveWord("for comment", "disputed"), "Dispute");
  assert.equal(moveTold({ actor: "Ann", from: "agreed", to: "superseded" }), "superseded, as Ann agreed to what replaces it");
  assert.equal(moveTold({ actor: "Ann", from: "agreed", to: "for comment" }), "for comment again, by Ann");
});

test("filters of an address are those of the interface, a space being all that lies in it", () => {
  const query = new URLSearchParams("state=agreed&space=101&search=%20&page=3&subject=layer");
  assert.deepEqual(asked(query), { state: "agreed", within_number: "101", subject: "layer" });
  assert.equal(narrowed(query), true);
  assert.equal(narrowed(new URLSearchParams("page=3")), false);
});

test("what an address asks to be cited is read back, and what is none is left out", () => {
  const address = newAddress("X", [{ type: "layer", id: ID }, { type: "evidence", id: ID }], { subject: "space", name: "101" });
  const query = new URL(address, "http://x").searchParams;
  assert.deepEqual(citesAsked(query.get("cites")), [{ type: "layer", id: ID }, { type: "evidence", id: ID }]);
  assert.equal(query.get("name"), "101");
  assert.deepEqual(citesAsked(`space:${ID},layer:7,layer,:${ID},layer:${ID}x`), []);
  assert.deepEqual(citesAsked(null), []);
});

test("citations are sent without what follows from them", () => {
  assert.deepEqual(sent([cite("layer", "a", "  its edge "), { ...cite("sample", "b"), state: null, version: 3 }]), [
    { type: "layer", id: "a", note: "its edge" }, { type: "sample", id: "b" },
  ]);
});

test("citations in another order say the same, with another note they do not", () => {
  const [one, other] = [cite("layer", "a"), cite("sample", "b", "n")];
  assert.equal(sameCites([one, other], [other, one]), true);
  assert.equal(sameCites([one], [one, other]), false);
  assert.equal(sameCites([other], [cite("sample", "b", "m")]), false);
  assert.equal(sameCites([other], [cite("sample", "b", " n ")]), true);
});

test("a record leads to its page, a generation to its chart, and what has none nowhere", () => {
  assert.equal(pageOf("X", "interpretation", ID, "4"), "/projects/X/findings/4");
  assert.equal(pageOf("X", "layer", ID, "K/3"), `/projects/X/registers/layers/${ID}`);
  assert.equal(pageOf("X", "generation", ID, "1/0 1/3"), "/projects/X/spaces/1%2F0%201");
  assert.equal(pageOf("X", "layer", null, "K/3"), null);
  assert.equal(pageOf("X", "study", ID, "1790"), null);
});

const SIDES = {
  generations: [{ name: "101/1" }], readings: [{ element: "D" }],
  documents: [{ reference: "E-1", discipline: "architectural history" }, { reference: "E-2", discipline: "archaeology" }],
  construction: [{ reference: "E-3", discipline: "archaeology" }],
  interpretations: [{ number: 1, discipline: "paint conservation" }, { number: 2, discipline: "archaeology" }, { number: 3, discipline: "ownership" }],
  questions: [{ number: 1, discipline: "archaeology" }, { number: 2, discipline: "" }],
};

test("without two disciplines paint, documents and construction stand side by side, and nothing said is lost", () => {
  for (const [left, right] of [["", ""], ["archaeology", ""]]) {
    const [paint, documents, construction] = columns(SIDES, left, right);
    assert.deepEqual(paint.generations, SIDES.generations);
    assert.deepEqual(documents.evidence.map((one) => one.reference), ["E-1", "E-2"]);
    assert.deepEqual(construction.evidence.map((one) => one.reference), ["E-3"]);
    assert.deepEqual([paint, documents, construction].map((side) => side.said.map((one) => one.number)), [[1], [3], [2]]);
  }
});

test("two disciplines that are chosen each have what is theirs, and the paint is the conservator's", () => {
  const [left, right] = columns(SIDES, "archaeology", "paint conservation");
  assert.equal(left.generations, null);
  assert.deepEqual(left.evidence.map((one) => one.reference), ["E-2", "E-3"]);
  assert.deepEqual([left.said.length, left.questions.length], [1, 1]);
  assert.deepEqual(right.generations, SIDES.generations);
  assert.equal(right.readings.length, 1);
});

test("evidence says when by its relation", () => {
  const one = { relation: "made before", earliest: null, latest: 1905, years_as_written: "", certainty: "likely" };
  assert.equal(whenTold(one), "made before 1905, likely");
  assert.equal(whenTold({ ...one, relation: "made after", earliest: -20, latest: null }), "made after 20 BCE, likely");
  assert.equal(whenTold({ ...one, relation: "between", earliest: 1838, latest: 1842, certainty: "" }), "between 1838 to 1842");
  assert.equal(whenTold({ ...one, relation: "made in", years_as_written: "c.1840" }), "made in c.1840, likely");
  assert.equal(whenTold({ ...one, relation: "", latest: null, certainty: "" }), "");
});
