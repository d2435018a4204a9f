import assert from "node:assert/strict";
import test from "node:test";

import { first, leftToPerson, pairs, positions, replaces, rows, wrong } from "../../../surveys/client/model/pictures/accepting.js";
import { asked, boxes, wrong as wrongBoxes } from "../../../surveys/client/model/pictures/colours.js";
import { alongTold, colourTold, lineTold, onLine, seenOn, shownBy, surely, wrongPath } from "../../../surveys/client/model/pictures/lines.js";
import { HIGH, WIDE, panels } from "../../../surveys/client/model/pictures/profile.js";
import { lineTold as scaleLine, ofMicroscope, perPixel, positive } from "../../../surveys/client/model/pictures/scale.js";
import { coloursTold, companion, inOrder, kindOf, placeTold, scaleTold } from "../../../surveys/client/model/pictures/pictures.js";

const read = (index, more = {}) => ({
  index, from_px: 10 * index, to_px: 10 * index + 10, thickness_um: 5, thickness_error_um: 0.4, lab: [60.04, -8, 24], lab_spread: 1.2, hex: "#888", munsell: "5GY 6/4",
  uv_colour: "milky", uv_strength: "weak", boundary_um: 2, boundary: "sharp", confidence: 0.95, end: "", accepted: null, ...more,
});
const row = (id, more = {}) => ({ id, version: 3, thickness_um: null, munsell: "", lab_l: null, lab_a: null, lab_b: null, uv_colour: "", uv_strength: "", lower_boundary: "", ...more });

test("a scale is the length told over the length drawn", () => {
  assert.equal(perPixel([[0, 0], [300, 400]], 250), 0.5);
  for (const none of [[[[0, 0]], 250], [[[0, 0], [0, 0]], 250], [[[0, 0], [3, 4]], null]]) assert.equal(perPixel(...none), null);
  assert.match(scaleLine([[0, 0], [300, 400]], 250), /500 px long: 0\.5 µm per px.*0\.28 %/);
  assert.deepEqual(["0,5", " 12 ", "0", "-3", "1e3", "x"].map(positive), [0.5, 12, null, null, null, null]);
  assert.equal(ofMicroscope({ um_per_pixel: 0.25, picture_width: 4000 }, 2000), 0.5);
  assert.equal(ofMicroscope({ um_per_pixel: 0.25, picture_width: null }, 2000), 0.25);
});

test("a picture says how its scale is known and that its colours are uncalibrated", () => {
  const bare = { um_per_pixel: null, scale_by: "", scale_line: null, microscope_name: null, colour_state: "uncalibrated", colour_residual: null, colour_target: null, colour_from: null, troubles: [] };
  assert.match(scaleTold(bare), /px only/);
  assert.match(scaleTold({ ...bare, um_per_pixel: 0.51234, scale_by: "stage micrometer" }), /0\.5123 µm per px, by the line/);
  assert.match(coloursTold(bare), /uncalibrated/);
  assert.match(coloursTold({ ...bare, colour_state: "calibrated", colour_target: { target: "x", patches: [] }, colour_residual: { mean: 0.81, max: 2.04 } }), /mean ΔE00 0\.81, largest 2/);
  assert.match(coloursTold({ ...bare, colour_state: "white-balanced", colour_target: { target: "x", patches: [] }, colour_residual: { mean: null, max: null } }), /no other patch checks it/);
  const marked = { ...bare, colour_target: { target: "x", patches: [] } };
  assert.match(coloursTold(marked), /being worked out/);
  assert.match(coloursTold({ ...marked, troubles: [{ kind: "picture-colour", sentence: "Too dark." }] }), /could not be measured/);
  assert.equal(placeTold([1204.4, 10], 0.5), "1,204 px from the left, 10 px from the top; 602 µm, 5 µm");
});

test("the UV picture that is registered is laid over the visible one before another", () => {
  const one = (id, number, kind) => ({ id, number, kind, prepared: "ready", width: 10 });
  const all = [one("d", 4, "document"), one("u1", 1, "UV micrograph"), one("u2", 3, "UV micrograph"), one("v", 2, "visible micrograph")];
  assert.deepEqual(inOrder(all).map((each) => each.id), ["v", "u1", "u2", "d"]);
  assert.equal(companion(all, all[3], []).id, "u1");
  assert.equal(companion(all, all[3], [{ fixed: "v", moving: "u2" }]).id, "u2");
  assert.equal(companion(all, all[1], []).id, "v");
  assert.equal(companion(all, one("p", 5, "photograph"), []), null);
  assert.deepEqual(["S-1 UV 200x.tif", "S-1.PNG", "notes.pdf", "suvla.jpg"].map(kindOf), ["UV micrograph", "visible micrograph", "document", "visible micrograph"]);
});

test("a target of 24 patches is found from its four corner patches, one of a row from two, a card from its corners", () => {
  const patches = (many) => ({ patches: Array.from({ length: many }, (_, at) => ({ name: `p${at}`, lab: [50, 0, 0] })) });
  const chart = boxes(patches(24), [[100, 100], [600, 100], [600, 400], [100, 400]]);
  assert.equal(chart.length, 24);
  assert.deepEqual(chart[0], [75, 75, 50, 50]);
  assert.deepEqual(chart[7], [175, 175, 50, 50]);
  assert.deepEqual(chart[23], [575, 375, 50, 50]);
  assert.deepEqual(boxes(patches(3), [[0, 0], [0, 200]]).map((one) => one[1]), [-25, 75, 175]);
  assert.deepEqual(boxes(patches(1), [[30, 40], [10, 20]]), [[10, 20, 20, 20]]);
  assert.deepEqual(boxes(patches(24), [[0, 0], [5, 0]]), []);
  assert.equal(asked(patches(24)).length, 4);
  assert.match(wrongBoxes([[-1, 0, 10, 10]], { width: 100, height: 100 }), /outside/);
  assert.match(wrongBoxes([[1, 0, 3, 10]], { width: 100, height: 100 }), /smaller than 4 px/);
});

test("a point is on the line whose strip holds it, and in the layer read there", () => {
  const line = { number: 2, path: [[0, 0], [100, 0]], width_px: 10, layers: [read(1), read(2)] };
  const found = onLine([line], [15, 3]);
  assert.equal(found.layer.index, 1);
  assert.match(alongTold(found, 0.5), /line 2, 15 px \(7\.5 µm\) from its foot: layer 1 of 2 read, 5 µm ± 0\.4/);
  assert.equal(onLine([line], [15, 8]), null);
  assert.equal(onLine([line], [15, 8], 5).layer.index, 1);
});

test("a line is seen on a registered picture too, larger by as much, and on no other", () => {
  const line = { attachment: "v", path: [[0, 0], [100, 0]], width_px: 10, layers: [read(1)] };
  const twice = [{ moving: "v", fixed: "u", matrix: [[2, 0, 5], [0, 2, 7], [0, 0, 1]] }];
  const [found] = seenOn([line], twice, "u");
  assert.deepEqual([found.path, found.width_px, found.layers[0].from_px], [[[5, 7], [205, 7]], 20, 20]);
  assert.deepEqual(seenOn([line], [], "u"), []);
  assert.deepEqual(seenOn([line], [], "v"), [line]);
});

test("colours read without a target never take the place of what stands", () => {
  assert.deepEqual(["lab", "munsell", "thickness_um", "uv_colour"].map((one) => replaces(one, false)), [false, false, true, true]);
  assert.ok(replaces("lab", true));
});

test("layers of the record are found on the lines that were accepted into them", () => {
  const line = { layers: [read(1, { accepted: "a" }), read(2)] };
  assert.deepEqual(shownBy([line], "a").map((one) => one.layer.index), [1]);
  assert.deepEqual(shownBy([line], "b"), []);
});

test("what is doubtful reads doubtful, and uncalibrated colours say so", () => {
  assert.deepEqual([0.97, 0.75, 0.3, null].map((one) => surely(one).word), ["clear, 97 %", "likely, 75 %", "doubtful, 30 %", "not said"]);
  assert.match(colourTold(read(1), false), /uncalibrated$/);
  assert.doesNotMatch(colourTold(read(1), true), /uncalibrated/);
  assert.equal(lineTold({ state: "read", refusal: "", layers: [read(1), read(2, { end: "resin" })], calibrated: false, colour_calibrated: false }), "1 layer proposed; no scale, colours uncalibrated.");
  assert.match(lineTold({ state: "waiting", trouble: "" }), /^Being read/);
  assert.equal(lineTold({ state: "waiting", trouble: "It is not read. The worker ended." }), "It is not read. The worker ended.");
});

test("a line says how many of its layers are in the record", () => {
  const line = (...layers) => lineTold({ state: "read", refusal: "", layers, calibrated: true, colour_calibrated: true });
  assert.equal(line(read(1), read(2, { accepted: "a" })), "2 layers proposed, 1 in the record.");
  assert.equal(line(read(1, { accepted: "b" }), read(2, { accepted: "a" })), "2 layers proposed, all in the record.");
});

test("what a new layer does not take over unasked is told, with why", () => {
  assert.deepEqual(["thickness_um", "uv_colour", "munsell"].map((field) => leftToPerson(field, true)), ["", "", ""]);
  assert.equal(leftToPerson("munsell", false), "uncalibrated");
  assert.match(leftToPerson("lower_boundary", true), /a hint/);
});

test("a path of one point, a short one and one without width are refused", () => {
  assert.match(wrongPath([[0, 0]], 5), /two points/);
  assert.match(wrongPath([[0, 0], [3, 0]], 5), /10 px/);
  assert.match(wrongPath([[0, 0], [30, 0]], 0.5), /width/);
  assert.equal(wrongPath([[0, 0], [30, 0]], 5), "");
});

test("a profile is drawn from the foot of the line to its end and no farther, a* and b* about their nought", () => {
  const found = panels({ start_px: -2, length_px: 2, step_px: 2, lab: [[50, 9, 9], [0, 0, 0], [100, -30, 10], [50, 9, 9]], uv: null, boundaries: [], found: [] }, 2);
  assert.deepEqual(found.map((one) => one.name), ["L*", "a*", "b*"]);
  assert.equal(found[0].d, `M0.0 ${HIGH - 1}.0L${WIDE}.0 1.0`);
  assert.equal(found[1].most, 30);
  assert.equal(found[1].zero, HIGH / 2);
});

test("in an empty sample all is new; beside standing layers nothing is made and nothing replaced unasked", () => {
  assert.deepEqual(first([read(1), read(2)], [], new Map()).map((one) => one.deed), ["new", "new"]);
  const found = first([read(1), read(2), read(3, { accepted: "b" })], [row("a"), row("b")], new Map([[1, "a"]]));
  assert.deepEqual(found.map((one) => [one.deed, one.layer]), [["beside", "a"], ["leave", ""], ["leave", "b"]]);
  assert.ok(found.every((one) => one.fields.length === 0));
});

test("both values stand side by side, and what was not read is not offered", () => {
  const found = pairs(read(1, { uv_colour: "" }), row("a", { munsell: "5GY 6/4", thickness_um: 30, lab_l: 60, lab_a: -8, lab_b: 24 }));
  assert.deepEqual(found.map((one) => [one.field, one.standing, one.read, one.differs]), [
    ["thickness_um", "30 µm", "5 µm", true], ["lab", "60, -8, 24", "60, -8, 24", false], ["munsell", "5GY 6/4", "5GY 6/4", false],
    ["uv_strength", "", "weak", true], ["lower_boundary", "", "sharp", true],
  ]);
});

test("nothing is sent while it is not said to which layer, in which order, and with which fields", () => {
  const layers = [row("a"), row("b")];
  const choice = (index, deed, layer = "", fields = []) => ({ index, deed, layer, fields });
  assert.match(wrong([choice(1, "leave")], layers), /Nothing is chosen/);
  assert.match(wrong([choice(1, "beside")], layers), /which layer/);
  assert.match(wrong([choice(1, "replace", "a")], layers), /which fields/);
  assert.match(wrong([choice(1, "beside", "b"), choice(2, "beside", "a")], layers), /do not rise/);
  assert.match(wrong([choice(1, "beside", "a"), choice(2, "beside", "a")], layers), /one layer of the record/);
  assert.equal(wrong([choice(1, "beside", "a"), choice(2, "new"), choice(3, "replace", "b", ["munsell"])], layers), "");
});

test("new layers go above what lies beneath them, and a replacement bears the version that was read", () => {
  const layers = [row("a"), row("b")];
  const choices = [{ index: 1, deed: "beside", layer: "a", fields: [] }, { index: 2, deed: "new", layer: "", fields: [], kind: "primer" }, { index: 3, deed: "replace", layer: "b", fields: ["lab", "munsell"] }, { index: 4, deed: "new", layer: "", fields: [], kind: "unknown" }];
  assert.deepEqual([...positions(choices, layers)], [[2, 2], [4, 4]]);
  assert.deepEqual(rows(choices, layers), [
    { index: 1, deed: "beside", layer: "a" }, { index: 2, deed: "new", position: 2, kind: "primer" },
    { index: 3, deed: "replace", layer: "b", layer_version: 3, fields: ["lab", "munsell"] }, { index: 4, deed: "new", position: 4, kind: "unknown" },
  ]);
  assert.deepEqual([...positions([{ index: 1, deed: "new", layer: "", fields: [] }], [])], [[1, 1]]);
});
