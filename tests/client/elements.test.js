/** Readings and As of in words and shapes: each expected line is written out by hand. */

import assert from "node:assert/strict";
import { test } from "node:test";
import * as asOf from "../../surveys/client/model/as_of.js";
import * as readings from "../../surveys/client/model/readings.js";

const query = (/** @type {Record<string, string>} */ told) => new URLSearchParams(told);
const PAINT = { layer: "S/2", munsell: "10YR 8/3", nearest: false, lab: [82.04, 3.3, 17.96], srgb: "#ddccaa", in_gamut: true, spread: 2.1, readings: 3, named: "cream", first_colour: "" };
const FINISH = {
  technique: "paint, varnished", recorded_technique: "", leaf: "", sheen: "", colour: PAINT, confidence: 0.9, samples: [], cited: [], doubts: [],
  layers: [{ kind: "paint", coats: 2, layers: [], samples: [], colour: PAINT }, { kind: "varnish", coats: 1, layers: [], samples: [], colour: null }],
};
const CANDIDATE = { generation: 4, generation_id: "x", label: "the refit", earliest: 1838, latest: 1850, probability: 0.86, finish: FINISH };

/** @param {string} space @param {"found" | "no evidence"} state @returns {asOf.Shown} */
function shown(space, state) {
  return {
    element: "D", element_id: "x", element_class: "door leaf", position: "", substrate: "", space, space_id: "x", space_name: "Hall", state, certainty: "very likely",
    in_force: state === "found" ? CANDIDATE : null, alternatives: [], samples: [], doubts: [], sentence: "",
  };
}

/** @param {Partial<readings.Reading>} more @returns {readings.Reading} */
function reading(more) {
  return {
    element: "D", element_id: "x", element_class: "door leaf", position: "", space: "1", space_id: "x", space_name: "", first: 3, last: 6, carried: [1, 3, 6],
    could: [1, 2, 3, 4, 5, 6], missing_before: [], missing_between: [2, 4, 5], missing_after: [], begins: 3, foreign: [],
    neighbours: { elements: 0, fewest: 0, median: 0, most: 0, earlier: 0 }, conclusion: "inserted", certainty: 0.9, chances: [], because: [], samples: [], sentence: "", ...more,
  };
}

test("what an address asks for comes back as the same address", () => {
  for (const told of [{ year: "1838" }, { phase: "2", space: "101" }, { year: "-120", tentative: "yes", prior: "span" }]) {
    const again = Object.fromEntries(Object.entries(asOf.toQuery(asOf.fromQuery(query(told)))).filter(([, value]) => value !== null && value !== "").map(([name, value]) => [name, String(value)]));
    assert.deepEqual(again, told);
  }
});

test("a phase comes before a year, and what is no year or phase asks for nothing", () => {
  assert.equal(asOf.fromQuery(query({ year: "1838", phase: "2" })).year, null);
  for (const told of [{ year: "c.1838" }, { year: "1000000" }, { phase: "0" }, { phase: "two" }]) {
    const view = asOf.fromQuery(query(told));
    assert.deepEqual([view.year, view.phase], [null, null]);
  }
  assert.equal(asOf.fromQuery(query({ year: "120 BCE" })).year, -120);
});

test("the years to slide over are the study's own, else those of its phases, and never none", () => {
  const phases = [{ ordinal: 1, label: "", earliest: 1791, latest: 1796 }, { ordinal: 2, label: "", earliest: null, latest: 1914 }];
  assert.deepEqual(asOf.extent({ first_year: 1700, last_year: 1900 }, phases), { from: 1700, to: 1900 });
  assert.deepEqual(asOf.extent({}, phases), { from: 1791, to: 1914 });
  assert.deepEqual(asOf.extent({ first_year: 1800, last_year: 1800 }, []), { from: 1800, to: 1801 });
  const usual = asOf.extent({}, []);
  assert.ok(usual.from < usual.to);
  assert.equal(asOf.middle({ from: 1700, to: 1900 }), 1800);
});

test("elements are told by space, with those of which nothing tells apart", () => {
  const told = [shown("101", "found"), shown("101", "no evidence"), shown("102", "no evidence")];
  const groups = asOf.bySpace(told);
  assert.deepEqual(groups.map((one) => [one.space, one.found.length, one.gaps.length]), [["101", 1, 1], ["102", 0, 1]]);
  assert.equal(asOf.summary({ year: 1850, phase: null, when: "1850", elements: told, spaces: [], cautions: [], current: true }), "As of 1850: 1 element with a finish, 2 without evidence.");
});

test("a finish, its colour and its probability in words", () => {
  assert.equal(asOf.layersInWords(FINISH), "paint in 2 coats and varnish");
  assert.equal(asOf.colourInWords(PAINT), "10YR 8/3, cream");
  assert.equal(asOf.colourInWords({ ...PAINT, nearest: true, named: "" }), "about 10YR 8/3");
  assert.equal(asOf.colourInWords(null), "no colour recorded");
  assert.equal(asOf.labInWords(PAINT), "L* 82.0, a* 3.3, b* 18.0");
  assert.equal(asOf.labInWords({ ...PAINT, lab: null }), "");
  assert.equal(asOf.surelyInWords(shown("1", "found")), "very likely (86 %)");
  assert.equal(asOf.surelyInWords({ ...shown("1", "found"), in_force: { ...CANDIDATE, probability: null } }), "dates leave it open");
  assert.equal(asOf.surelyInWords(shown("1", "no evidence")), "no evidence");
});

test("another candidate is told with its years and chance, and nothing yet as what it is", () => {
  assert.equal(asOf.candidateInWords(CANDIDATE), "generation 4, the refit · 1838 to 1850 · 86 %");
  assert.equal(asOf.candidateInWords({ ...CANDIDATE, generation: null, probability: 0.14 }), "nothing that is recorded · 14 %");
});

test("every conclusion has a shape of its own", () => {
  const words = ["from the start", "inserted", "stripped", "reused", "inserted or stripped", "undecided", "beginning not seen", "no evidence"];
  assert.equal(new Set(words.map((word) => readings.markOf(word).mark)).size, words.length);
  assert.deepEqual(words.map((word) => readings.markOf(word).word), words);
});

test("the ladder says of each generation whether it is carried, below its beginning, missing or not to be seen", () => {
  const states = readings.ladder(reading({}), 7).map((one) => one.state);
  assert.deepEqual(states, ["below", "missing", "carried", "missing", "missing", "carried", "unseen"]);
  assert.equal(readings.highest([reading({}), reading({ carried: [9], could: [9] })]), 9);
  assert.equal(readings.highest([]), 0);
});

test("generations in a row are told as a run", () => {
  assert.equal(readings.runs([1, 2, 3, 7, 9, 10]), "1–3, 7, 9, 10");
  assert.equal(readings.runs([]), "");
  assert.equal(readings.missingInWords(reading({ missing_before: [1, 2], missing_between: [4, 5, 6], missing_after: [] })), "1, 2 before its first and 4–6 between");
});

test("how surely is a word and a number, and nothing where nothing was weighed", () => {
  assert.equal(readings.surelyInWords(reading({ certainty: 0.9 })), "very likely (90 %)");
  assert.equal(readings.surelyInWords(reading({ certainty: null })), "");
  assert.deepEqual(readings.tally([reading({}), reading({}), reading({ conclusion: "stripped" })]), [["inserted", 2], ["stripped", 1]]);
});
