import assert from "node:assert/strict";
import test from "node:test";

import { asked, chosenWords, hindrance, kept, proposals, splitHindrance, still, told } from "../../../surveys/client/model/chart/choosing.js";
import { byLayer, destination, mark, sentence, summary } from "../../../surveys/client/model/chart/foretold.js";
import { doubt, isWeak, legibleOn, outline, share, uvWords, written } from "../../../surveys/client/model/chart/marks.js";
import { heard, jointWords, stands, why } from "../../../surveys/client/model/chart/why.js";
import { cell, chart, generation } from "./bench.js";

const [a, b, c] = [cell("A/1", 1), cell("B/1", 1), cell("C/2", 2)];

test("which ruling a choice allows", () => {
  const here = chart();
  assert.equal(hindrance("tie", [a, b, c], here), "");
  assert.match(hindrance("tie", [a], here), /two or more/);
  assert.equal(hindrance("bar", [a, b], here), "");
  assert.match(hindrance("bar", [a, b, c], here), /just two/);
  assert.equal(hindrance("hold", [a], here), "");
  assert.match(hindrance("hold", [], here), /Select/);
  assert.match(hindrance("hold", [a], chart({ generations: [] })), /correlate/);
});

test("which layers can be split off", () => {
  const here = chart();
  assert.match(splitHindrance([], here, 1), /Select/);
  assert.match(splitHindrance([a, c], here, 1), /1 of the selected/);
  assert.match(splitHindrance([a, b], here, 1), /nothing would be left/);
  assert.equal(splitHindrance([a], here, 1), "");
});

test("a tie joins each to the first, a bar is one, a hold is one for each", () => {
  assert.deepEqual(proposals("tie", [a, b, c], null, "x").map(told), ["A/1 and B/1 are of one campaign", "A/1 and C/2 are of one campaign"]);
  assert.deepEqual(proposals("bar", [a, b], null, "x").map(told), ["A/1 and B/1 are not of one campaign"]);
  assert.deepEqual(proposals("hold", [a, b], { ordinal: 2, id: "g2" }, "x").map(told), ["A/1 belongs to generation 2", "B/1 belongs to generation 2"]);
  assert.deepEqual(proposals("tie", [], null, ""), []);
  assert.deepEqual(asked(proposals("hold", [a], { ordinal: 2, id: "g2" }, "x")), [{ kind: "hold", first: "A/1", second: null, generation: 2 }]);
});

test("what is kept is a new ruling, but the hold of a held layer is changed", () => {
  const standing = [{ id: "r1", version: 4, kind: "hold", first_layer: a.layer_id }];
  const found = kept([...proposals("hold", [a, b], { ordinal: 2, id: "g2" }, "seen"), ...proposals("tie", [a, c], null, "")], standing);
  assert.deepEqual(found, [
    { op: "change", id: "r1", version: 4, values: { generation: "g2", reason: "seen" } },
    { op: "create", values: { kind: "hold", first_layer: b.layer_id, generation: "g2", reason: "seen" } },
    { op: "create", values: { kind: "tie", first_layer: a.layer_id, second_layer: c.layer_id, reason: "" } },
  ]);
});

test("a choice outlasts a change of the record, but for layers that are gone", () => {
  assert.deepEqual(still(["id A/1", "id gone", "id C/2"], chart()), ["id A/1", "id C/2"]);
  assert.equal(chosenWords([a, b]), "Selected: A/1 and B/1.");
  assert.match(chosenWords(Array(9).fill(a)), /9 layers/);
});

const preview = {
  space: "101", current: true, refused: null, chain: [], generations: 4, gone: [3], new_generations: [{ new: 1, above: 1 }],
  changes: [
    { layer: "A/1", layer_id: "id A/1", from: 1, to: 2, new: null, confidence_from: 0.9, confidence_to: 0.8 },
    { layer: "B/1", layer_id: "id B/1", from: null, to: null, new: 1, confidence_from: null, confidence_to: 0.5 },
  ],
  counts: { layers: 7, layers_changed: 2, generations_now: 3, surer: 1, less_sure: 0 },
};

test("a preview is told in sentences and marked by layer", () => {
  assert.deepEqual(preview.changes.map(mark), ["→ 2", "→ new"]);
  assert.equal(sentence(preview.changes[0], preview), "A/1, from generation 1, to generation 2 (80 % instead of 90 % sure)");
  assert.equal(destination(preview.changes[1], preview), "a new generation, above 1");
  assert.equal(byLayer(preview).get("id B/1").new, 1);
  const said = summary(preview).join(" ");
  for (const part of ["2 layers of 7 would move", "4 generations instead of 3", "left in generation 3", "1 layer would be clearly surer"]) assert.ok(said.includes(part), part);
  assert.match(summary({ ...preview, current: false }).join(" "), /has changed since it was last correlated/);
});

test("a refused preview says why and nothing else", () => {
  assert.deepEqual(summary({ ...preview, refused: "These cannot all be true." }), ["These cannot all be true."]);
});

test("nothing to move is told", () => {
  assert.deepEqual(summary({ ...preview, generations: 3, gone: [], changes: [], counts: { ...preview.counts, layers_changed: 0, surer: 0 } }), ["No layer would move."]);
});

test("confidence is told by outline and, where it is not high, by number", () => {
  const at = (confidence) => cell("A/1", 1, { confidence });
  assert.deepEqual([0.9, 0.89, 0.7, 0.5, 0.49, 0].map((one) => outline(at(one))), ["firm", "thin", "thin", "dashed", "dotted", "dotted"]);
  assert.equal(outline(at(null)), "");
  assert.equal(outline(cell("A/1", null)), "");
  assert.deepEqual([0.9, 0.899, 0.29].map((one) => doubt(at(one))), ["", "89 %", "29 %"]);
  assert.equal(share(0.999), "99 %");
  assert.deepEqual([null, 0.59, 0.6].map(isWeak), [false, true, false]);
});

test("what is written in a swatch can be read on it", () => {
  assert.equal(legibleOn("#ffffff"), "#000000");
  assert.equal(legibleOn("#202020"), "#ffffff");
  assert.deepEqual(written(cell("A/1", 1, { completeness: "worn" })), ["10YR 8/2", "paint", "worn"]);
  assert.deepEqual(written(cell("A/1", 1, { munsell: "", lab: [81, -2, 13.4] })), ["Lab 81 −2 13", "paint"]);
  assert.deepEqual(written(cell("A/1", 1, { munsell: "", lab: null, srgb: null })), ["“cream”", "paint"]);
  assert.deepEqual(written(cell("A/1", 1, { munsell: "", lab: null, srgb: null, colour: "" })), ["no colour", "paint"]);
});

test("what was not observed under UV is not told as absent", () => {
  assert.equal(uvWords(cell("A/1", 1)), "");
  assert.equal(uvWords(cell("A/1", 1, { uv_strength: "none" })), "UV looked for, none seen");
  assert.equal(uvWords(cell("A/1", 1, { uv_strength: "weak", uv_colour: "white" })), "UV weak white");
});

test("who hears a layer hears sample, position, what it is and where it stands", () => {
  assert.equal(heard(a), "A/1; paint, cream, 10YR 8/2; generation 1, 95 % sure");
  assert.equal(stands(cell("A/1", null)), "not placed");
  assert.equal(stands(cell("A/1", 2, { held: true, runner_up: 3, runner_up_confidence: 0.1 })), "generation 2, held by a person");
  assert.equal(stands(cell("A/1", 2, { confidence: 0.6, runner_up: 3, runner_up_confidence: 0.25 })), "generation 2, 60 % sure, otherwise generation 3 (25 %)");
});

test("why a layer stands where it does: its chance, the next best, its neighbours, weak joints and rulings with their reason", () => {
  const layer = cell("A/2", 2, { confidence: 0.6, runner_up: 3, runner_up_confidence: 0.25 });
  const here = chart({ cells: [cell("A/1", 1), layer, cell("A/3", 2)], generations: [generation(1), generation(2, { distinctness: 0.41 }), generation(3)] });
  const ruling = { kind: "tie", first_layer: layer.layer_id, second_layer: "id B/2", first_layer_name: "A/2", second_layer_name: "B/2", reason: "the same glaze", created_by: "Connie Vator" };
  const said = why(layer, here, [ruling]).join(" ");
  for (const part of ["60 %", "next likeliest is generation 3, with 25 %", "Beneath it lies A/1 (paint), of generation 1", "Above it lies A/3 (paint), of the same generation",
    "Generations 1 and 2 may be one campaign: 41 %", "Connie Vator ruled that A/2 and B/2 are of one campaign: “the same glaze”"]) assert.ok(said.includes(part), part);
  assert.match(why(cell("A/2", 2, { held: true }), here, []).join(" "), /A person holds it/);
  assert.match(why(cell("A/2", null), here, []).join(" "), /placed in no generation yet/);
  assert.equal(jointWords(generation(1)), "the oldest");
  assert.match(jointWords(generation(2, { distinctness: 0.41 })), /could be one campaign.*41 %/);
});
