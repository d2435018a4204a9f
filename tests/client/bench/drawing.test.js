import assert from "node:assert/strict";
import test from "node:test";

import { BOUNDARIES, HIGHEST, LOWEST, band, bandName, bars, line } from "../../../surveys/client/model/bench/drawing.js";

test("a measured layer is drawn to scale, and says so where it is not", () => {
  assert.deepEqual(band("30"), { height: 60, remark: "" });
  assert.deepEqual(band("5"), { height: LOWEST, remark: "drawn thicker" });
  assert.deepEqual(band("400"), { height: HIGHEST, remark: "drawn thinner" });
  for (const none of ["", "thick", "-3"]) assert.deepEqual(band(none), { height: LOWEST, remark: "" });
});

test("every boundary that the trade tells apart has a line of its own", () => {
  assert.deepEqual(BOUNDARIES, ["sharp", "fused", "soiled", "weathered", "cracked", "scraped or scorched", "unclear"]);
  const drawn = BOUNDARIES.map((one) => JSON.stringify(line(one, 96)));
  assert.equal(new Set(drawn).size, BOUNDARIES.length);
  assert.equal(line("", 96), null);
});

test("strengths differ in shape", () => {
  assert.equal(new Set(["none", "weak", "moderate", "strong"].map(bars)).size, 4);
  assert.equal(bars(""), "");
});

test("a layer is named in words", () => {
  const texts = { kind: "paint", colour: "stone", munsell: "10YR 7/3", uv_strength: "moderate", uv_colour: "milky", lower_boundary: "soiled", thickness_um: "25" };
  assert.equal(bandName({ id: "a", texts, generation: "", held: false }, 3, 12, "unsaved"), "Layer 3 of 12, paint, stone, 10YR 7/3, UV moderate milky, soiled below, 25 µm, unsaved");
  assert.equal(bandName({ id: "a", texts: {}, generation: "", held: false }, 1, 1, ""), "Layer 1 of 1, kind not said, colour not said");
  assert.match(bandName({ id: "a", texts: { kind: "paint", lab_l: "60", lab_a: "-8", lab_b: "24" }, generation: "", held: false }, 1, 1, ""), /L\*a\*b\* 60, -8, 24/);
});
