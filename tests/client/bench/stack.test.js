import assert from "node:assert/strict";
import test from "node:test";

import { NEW, added, copied, difference, merged, moved, removed, repeated, split } from "../../../surveys/client/model/bench/stack.js";

const layer = (id, texts = {}, more = {}) => ({ id, texts: { kind: "paint", ...texts }, generation: "", held: false, ...more });
const ids = (found) => found.layers.map((one) => one.id);
const three = [layer("a"), layer("b"), layer("c")];

test("a layer is added above or below another, and into an empty section", () => {
  assert.deepEqual(ids(added(three, "b", "above")), ["a", "b", NEW, "c"]);
  assert.deepEqual(ids(added(three, "b", "below")), ["a", NEW, "b", "c"]);
  assert.deepEqual(ids(added([], "", "above")), [NEW]);
  assert.deepEqual(ids(added(three, "", "below")), [NEW, "a", "b", "c"]);
});

test("splitting gives two layers of the same look; how they meet and how thick each is was not seen", () => {
  const stack = [layer("a"), layer("b", { colour: "stone", lower_boundary: "soiled", thickness_um: "40", munsell: "10YR 7/3" })];
  const found = split(stack, "b");
  assert.deepEqual(ids(found), ["a", "b", NEW]);
  assert.deepEqual(found.layers[1].texts, { kind: "paint", colour: "stone", lower_boundary: "soiled", thickness_um: "", munsell: "10YR 7/3" });
  assert.deepEqual(found.layers[2].texts, { kind: "paint", colour: "stone", lower_boundary: "", thickness_um: "", munsell: "10YR 7/3" });
  assert.match(found.said, /measure again/);
});

test("merging keeps the lower layer's boundary, joins the texts and loses nothing that was said", () => {
  const stack = [
    layer("a", { colour: "stone", pigments: "lead white; umber", lower_boundary: "sharp", thickness_um: "12.5", munsell: "10YR 7/3", munsell_by: "exact chip", notes: "fine" }),
    layer("b", { kind: "glaze", colour: "stone; brown", pigments: "umber; ochre", lower_boundary: "fused", thickness_um: "4", munsell: "N 5", uv_strength: "weak", notes: "thin" }),
  ];
  const found = merged(stack, "b");
  assert.deepEqual(ids(found), ["a"]);
  const { texts } = found.layers[0];
  assert.equal(texts.colour, "stone; brown");
  assert.equal(texts.pigments, "lead white; umber; ochre");
  assert.equal(texts.lower_boundary, "sharp");
  assert.equal(texts.thickness_um, "16.5");
  assert.equal(texts.munsell, "10YR 7/3");
  assert.equal(texts.uv_strength, "weak");
  assert.equal(texts.notes, "fine\nthin\nMerged with a layer of kind glaze, Munsell N 5, boundary between them fused.");
});

test("of a thickness that is known of one part only the merged layer has none, and its note says so", () => {
  const found = merged([layer("a", { thickness_um: "12" }), layer("b")], "b");
  assert.equal(found.layers[0].texts.thickness_um, "");
  assert.match(found.layers[0].texts.notes, /lower part 12 µm/);
});

test("merging withdraws the generation only where the two are of different ones", () => {
  const placed = (one, other, more = {}) => [layer("a", {}, { generation: one, ...more }), layer("b", {}, { generation: other })];
  assert.deepEqual(merged(placed("2", "3"), "b").unplaced, ["a"]);
  assert.match(merged(placed("2", "3"), "b").said, /none now/);
  assert.deepEqual(merged(placed("2", "2"), "b").unplaced, []);
  assert.deepEqual(merged(placed("2", ""), "b").unplaced, []);
});

test("a layer that a ruling holds is not merged away, nor removed, and the refusal says what to do", () => {
  const stack = [layer("a", {}, { generation: "1" }), layer("b", {}, { generation: "2", held: true }), layer("c", {}, { generation: "3" })];
  for (const found of [merged(stack, "b"), removed(stack, "b"), merged(stack, "c")]) assert.match(found.refusal, /held in generation 2 by a ruling.*Withdraw/);
});

test("there is nothing beneath the first layer and nothing above the last", () => {
  assert.match(merged(three, "a").refusal, /beneath/);
  assert.match(moved(three, "a", -1).refusal, /substrate/);
  assert.match(moved(three, "c", 1).refusal, /surface/);
  for (const act of [merged, split, copied, removed]) assert.ok("refusal" in act([], ""));
});

test("moving, copying and removing", () => {
  assert.deepEqual(ids(moved(three, "a", 1)), ["b", "a", "c"]);
  assert.deepEqual(ids(copied(three, "b")), ["a", "b", NEW, "c"]);
  assert.deepEqual(ids(removed(three, "b")), ["a", "c"]);
  assert.equal(removed(three, "b").focus, "a");
  assert.equal(removed(three, "a").focus, "b");
});

test("the difference names only what an act changed", () => {
  const found = difference(three, split(three, "b").layers);
  assert.equal(found.makes, true);
  assert.deepEqual(found.gone, []);
  assert.deepEqual(found.order, ["a", "b", NEW, "c"]);
  assert.deepEqual(found.cells.map((one) => [one.id, one.name, one.text]), [[NEW, "kind", "paint"]]);
  assert.deepEqual(difference(three, removed(three, "a").layers).gone, ["a"]);
});

test("a value is repeated from what was entered last, else from beneath, else from above", () => {
  const stack = [layer("a", { colour: "red" }), layer("b"), layer("c", { colour: "blue" })];
  assert.equal(repeated(stack, "b", "colour", "green"), "green");
  assert.equal(repeated(stack, "b", "colour", undefined), "red");
  assert.equal(repeated(stack, "a", "colour", undefined), "blue");
  assert.equal(repeated(stack, "b", "sheen", undefined), "");
});
