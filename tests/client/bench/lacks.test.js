import assert from "node:assert/strict";
import test from "node:test";

import { day, inOrder, lacks, lacksTold, neighbour, progress } from "../../../surveys/client/model/bench/lacks.js";

const WHOLE = { base_state: "complete", top_state: "complete", examined_visible_on: "2026-05-14", examined_uv_on: "2026-05-14" };
const layer = (id, texts = {}) => ({ id, texts: { kind: "paint", colour: "red", lower_boundary: "sharp", uv_strength: "weak", ...texts }, generation: "", held: false });
const names = (found) => found.map((one) => one.text);

test("a sample that has everything lacks nothing", () => {
  assert.deepEqual(lacks("s", WHOLE, [layer("a", { lower_boundary: "" }), layer("b")]), []);
  assert.equal(lacksTold([]), "Nothing is lacking.");
});

test("an empty sample lacks its states, its examinations and its layers", () => {
  assert.deepEqual(names(lacks("s", {}, [])), ["No base state", "No top state", "Not examined in visible light", "Not examined under UV", "No layers yet"]);
});

test("a state that is unknown is not told yet", () => {
  assert.deepEqual(names(lacks("s", { ...WHOLE, top_state: "unknown" }, [layer("a")])), ["The top state is unknown"]);
});

test("what a layer lacks leads to its field", () => {
  const found = lacks("s", WHOLE, [layer("a", { kind: "" }), layer("b", { colour: "", lower_boundary: "" }), layer("c", { colour: "" })]);
  assert.deepEqual(found.map((one) => [one.text, one.places.map((place) => `${place.id}.${place.name} ${place.says}`)]), [
    ["No kind", ["a.kind 1"]], ["No colour", ["b.colour 2", "c.colour 3"]], ["No lower boundary", ["b.lower_boundary 2"]],
  ]);
  assert.equal(lacksTold(found), "Lacking: no kind in 1 layer, no colour in 2 layers and no lower boundary in 1 layer.");
});

test("any of name, notation and measure is a colour; a void has none, and what was not seen is not asked for", () => {
  const stack = [layer("a", { colour: "", munsell: "N 5" }), layer("b", { colour: "", lab_l: "50" }), layer("c", { kind: "void", colour: "", uv_strength: "" }),
    layer("d", { completeness: "not reached", colour: "", lower_boundary: "", uv_strength: "" })];
  assert.deepEqual(lacks("s", WHOLE, stack), []);
});

test("UV is asked of the layers once the sample was seen under it", () => {
  const stack = [layer("a", { uv_strength: "" })];
  assert.deepEqual(names(lacks("s", WHOLE, stack)), ["No UV strength"]);
  assert.deepEqual(names(lacks("s", { ...WHOLE, examined_uv_on: "" }, stack)), ["Not examined under UV"]);
});

test("the count of a space leaves out what is set aside", () => {
  const samples = [{ status: "examined" }, { status: "taken", examined_visible_on: "2026-01-01" }, { status: "taken" }, { status: "set aside", examined_visible_on: "2026-01-01" }];
  assert.deepEqual(progress(samples), { examined: 2, whole: 3 });
});

test("samples stand in the order in which one counts, and one goes from each to the next", () => {
  const samples = inOrder(["S-10", "S-9", "S-1"].map((number) => ({ id: number, number })));
  assert.deepEqual(samples.map((one) => one.number), ["S-1", "S-9", "S-10"]);
  assert.equal(neighbour(samples, "S-9", 1)?.number, "S-10");
  assert.equal(neighbour(samples, "S-1", -1), null);
  assert.equal(neighbour(samples, "elsewhere", 1), null);
});

test("today is the reader's own day", () => {
  assert.equal(day(new Date(2026, 0, 5, 23, 59)), "2026-01-05");
});
