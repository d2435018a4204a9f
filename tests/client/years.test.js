import assert from "node:assert/strict";
import test from "node:test";

import * as model from "../../surveys/client/model/years.js";

const curve = { prior: model.PRIORS[0][1], first_year: 1800, probabilities: [0.25, 0.5, 0.25], median: 1801, interval_68: [1800, 1802], interval_95: [1800, 1802] };
const dated = (space, ordinal, more = {}) => ({ id: null, space, ordinal, earliest: 1800, latest: 1802, earliest_by: [], latest_by: [], distributions: [curve], conflicts: [], ...more });

test("a view goes into an address and comes back", () => {
  const view = { range: { from: -50, to: 1900 }, spaces: ["101", "102"], prior: "span", tentative: true, at: "101/3" };
  const told = Object.entries(model.toQuery(view)).filter(([, value]) => value !== null && value !== "").map(([name, value]) => [name, String(value)]);
  assert.deepEqual(model.fromQuery(new URLSearchParams(told)), view);
  assert.deepEqual(model.fromQuery(new URLSearchParams("from=1900&to=1800&prior=x")), { range: null, spaces: [], prior: "ordered", tentative: false, at: "" });
});

test("a year may be written before the common era", () => {
  assert.deepEqual(["1838", "-120", "120 BCE", "120 bc", "5 CE", "c.1840", "", null].map(model.whole), [1838, -120, -120, -120, 5, null, null, null]);
});

test("the extent runs from the first year named to the last and is never too narrow to show", () => {
  assert.deepEqual(model.extent([1900, null, 1790, undefined]), { from: 1790, to: 1900 });
  assert.equal(model.extent([null]), null);
  const one = model.extent([1800]);
  assert.ok(one.from < 1800 && one.to > 1800 && one.to - one.from >= model.NARROWEST);
});

test("a year has a beginning and an end on the axis", () => {
  // Ten years on 100: each is 10 wide.
  const range = { from: 1800, to: 1809 };
  assert.deepEqual([1800, 1805, 1810].map(model.scale(range, 100)), [0, 50, 100]);
  assert.deepEqual(model.bar(1802, 1803, range, 100), { x: 20, width: 20, openLeft: false, openRight: false });
  assert.deepEqual(model.bar(null, 1803, range, 100), { x: 0, width: 40, openLeft: true, openRight: false });
  assert.deepEqual(model.bar(1790, 1850, range, 100), { x: 0, width: 100, openLeft: true, openRight: true });
  assert.equal(model.bar(1700, 1710, range, 100), null);
});

test("ticks are round, far enough apart, and pass from 1 BCE to 1 without a year 0", () => {
  assert.deepEqual(model.ticks({ from: 1791, to: 2026 }, 700).map((one) => one.text), ["1800", "1825", "1850", "1875", "1900", "1925", "1950", "1975", "2000", "2025"]);
  assert.deepEqual(model.ticks({ from: -100, to: 100 }, 210).map((one) => one.text), ["100 BCE", "1", "100"]);
  for (const width of [100, 333, 1400]) {
    const found = model.ticks({ from: 1203, to: 1987 }, width);
    const x = model.scale({ from: 1203, to: 1987 }, width);
    for (let at = 1; at < found.length; at += 1) assert.ok(x(found[at].year) - x(found[at - 1].year) >= 69);
  }
});

test("closer and wider stay around the year pointed at and within the whole", () => {
  const all = { from: 1800, to: 2000 };
  assert.deepEqual(model.zoomed(all, 0.5, 1900, all), { from: 1850, to: 1950 });
  assert.deepEqual(model.zoomed({ from: 1850, to: 1950 }, 8, 1900, all), all);
  assert.equal(model.zoomed(all, 0.001, 1900, all).to - model.zoomed(all, 0.001, 1900, all).from, model.NARROWEST);
  assert.deepEqual(model.panned({ from: 1850, to: 1950 }, 500, all), { from: 1900, to: 2000 });
  assert.ok(model.isWhole(all, all) && !model.isWhole({ from: 1801, to: 2000 }, all));
});

test("a distribution is drawn in steps, a year each, its highest reaching the top", () => {
  // Ten years on 100; 1800-1802 with 1/4, 1/2, 1/4: half, whole, half of the height 20 above the foot 30.
  assert.equal(model.outline(curve, { from: 1800, to: 1809 }, 100, 30, 20), "M0 30V20H10V10H20V20H30V30Z");
  assert.equal(model.outline(curve, { from: 1802, to: 1811 }, 100, 30, 20), "M0 30V20H10V30Z");
  assert.equal(model.outline(curve, { from: 1900, to: 1910 }, 100, 30, 20), "");
});

test("bounds and distributions are told in words", () => {
  assert.equal(model.boundsInWords(dated("101", 1)), "1800 to 1802");
  assert.equal(model.boundsInWords(dated("101", 1, { earliest: null, latest: null })), "no record bounds it");
  assert.equal(model.curveInWords(model.curveOf(dated("101", 1), "ordered")), "median 1801; 68 %: 1800 to 1802; 95 %: 1800 to 1802");
  assert.equal(model.curveInWords(model.curveOf(dated("101", 1), "span")), "no distribution");
  const mark = { reference: "E-1", id: "", bears_on: "generation", space: "101", generation: "101/2", relation: "made before", earliest: null, latest: -20, certainty: "tentative" };
  assert.equal(model.markInWords(mark), "E-1: generation 101/2 made before 20 BCE, tentative");
});

test("spaces have their oldest generation at the foot, and only those chosen are shown", () => {
  const all = [dated("101", 1), dated("101", 2), dated("102", 1)];
  assert.deepEqual(model.groups(all, [], []).map((one) => one.generations.map(model.keyOf)), [["101/2", "101/1"], ["102/1"]]);
  assert.deepEqual(model.groups(all, [], ["102"]).map((one) => one.space), ["102"]);
});

test("the arrow keys go from one generation to the next and stop at the ends", () => {
  const keys = ["101/2", "101/1", "102/1"];
  assert.equal(model.stepped(keys, "", 1), "101/2");
  assert.equal(model.stepped(keys, "101/1", 1), "102/1");
  assert.equal(model.stepped(keys, "102/1", 1), "102/1");
  assert.equal(model.stepped([], "x", 1), "");
});

test("layers of which one and the same is said stand in one sentence, each by its name", () => {
  const seen = (layer, what = "lithopone") => ({ kind: "material", sentence: `${what} in ${layer} was seen but not identified, and bounds nothing until somebody asks 'what if'.` });
  const evidence = { kind: "evidence", sentence: "E-15 is tentative and bounds nothing until somebody asks 'what if'." };
  const dateless = { kind: "material", sentence: "umber in S 1/2 bounds nothing: it has no date of introduction." };
  assert.deepEqual(model.unusedInWords([seen("WH001/4"), evidence, seen("WH002/7"), seen("A in B/1", "titanium white (anatase)"), dateless]), [
    "lithopone in 2 layers was seen but not identified, and bounds nothing until somebody asks 'what if'. WH001/4, WH002/7.",
    evidence.sentence,
    "titanium white (anatase) in A in B/1 was seen but not identified, and bounds nothing until somebody asks 'what if'.",
    dateless.sentence,
  ]);
});
