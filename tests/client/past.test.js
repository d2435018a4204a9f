import assert from "node:assert/strict";
import test from "node:test";

import * as past from "../../surveys/client/model/past.js";
import * as people from "../../surveys/client/model/people.js";

const act = (records, counts) => ({ act: "", sequence: 1, at: "", actor: "", reason: "", records: records.map(([type, name]) => ({ type, id: name, name })), counts: counts.map(([type, count]) => ({ type, count })), state: "removed", recoverable: true, hindrance: "" });

test("what an act removed is named by what the rest hung on", () => {
  assert.equal(past.whatWent(act([["sample", "K-014"]], [["layer", 5], ["sample", 1]])), "sample K-014, with 5 layers");
  assert.equal(past.whatWent(act([["evidence", "E1"]], [["evidence", 1]])), "evidence E1");
  assert.equal(past.whatWent(act([["sample", "A"], ["sample", "B"]], [["sample", 3], ["layer", 1]])), "sample A and sample B, with 1 sample and 1 layer");
});

test("a name that says what it is of is not said twice", () => {
  assert.equal(past.called("interpretation", "interpretation 4"), "interpretation 4");
  assert.equal(past.called("generation", "101/3"), "generation 101/3");
  assert.equal(past.called("membership", "Owen Nerr (owner)"), "Owen Nerr (owner)");
});

test("what else an act touched is named as far as it is known and counted beyond that", () => {
  const beside = [{ type: "layer", id: "1", name: "K-014/2", action: "changed" }, { type: "ruling", id: "2", name: "tie K-014/1", action: "removed" }];
  const line = { beside, beside_count: 2 };
  assert.equal(past.besideWords(line), "In the same act: layer K-014/2 (changed) and ruling tie K-014/1 (removed).");
  assert.equal(past.besideWords({ beside, beside_count: 14 }), "In the same act: layer K-014/2 (changed), ruling tie K-014/1 (removed) and 12 other records.");
  assert.equal(past.besideWords({ beside: [], beside_count: 0 }), "");
});

test("a blank value is called blank", () => {
  assert.deepEqual(["", "cream"].map(past.quoted), ["blank", "“cream”"]);
});

test("what a leaver leaves open is one sentence, and none if there is nothing", () => {
  const leaving = { name: "Hester", last_coordinator: false, invitations: 0, questions: [], reviews: [] };
  assert.equal(people.leftBehind(leaving), "");
  const asked = { ...leaving, questions: [{ id: "1", number: 7, text: "?" }], reviews: [{ id: "2", interpretation: "3", number: 3 }, { id: "4", interpretation: "5", number: 5 }] };
  assert.equal(people.leftBehind(asked), "Asked of Hester: 1 open question and the review of 2 interpretations.");
  assert.equal(people.leftBehind({ ...leaving, invitations: 1 }), "1 open invitation by Hester ends too.");
  assert.equal(people.leftBehind({ ...leaving, invitations: 2 }), "2 open invitations by Hester end too.");
});

test("what is missing is told by field before anything is sent, and what may be left out is not missing", () => {
  const entries = [{ name: "username" }, { name: "email", optional: true }, { name: "password" }];
  assert.deepEqual(people.wanting(entries, { username: "  ", email: "", password: "x" }), { username: "This is needed." });
});
