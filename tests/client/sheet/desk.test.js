import assert from "node:assert/strict";
import test from "node:test";

import { Desk } from "../../../surveys/client/model/sheet/desk.js";
import { sheetKind } from "../../../surveys/client/model/sheet/columns.js";
import { edge, filledRight } from "../../../surveys/client/model/sheet/ranges.js";
import { COLUMNS, Service, WORDS, bench, references, row } from "./bench.js";

function desk(rows = ["s1", "s2", "s3"].map((id) => row(id)), more = {}) {
  const service = new Service(rows);
  let keys = 0;
  const kind = { ...sheetKind("samples"), columns: COLUMNS, ...more };
  const made = new Desk(kind, { words: WORDS, references: references() }, {
    send: (operations, key) => service.send(operations, key), catchUp: async () => made.sheet.load([...service.rows.values()]), newKey: () => `k${(keys += 1)}`, underway: () => {},
  }, { writes: more.writes ?? true });
  made.sheet.load(rows.map((one) => ({ ...one })));
  made.arrange();
  return { desk: made, service };
}

test("a row keeps its place while it is typed in, even where it would be sorted or filtered away", () => {
  const { desk: one } = desk([row("s1", { part: "a" }), row("s2", { part: "b" }), row("s3", { part: "c" })]);
  one.arrange({ sort: [{ name: "part", down: false }], filters: { part: "(not blank)" } });
  one.type("s1", "part", "z");
  one.type("s2", "part", "");
  assert.deepEqual(one.order, ["s1", "s2", "s3"]);
  one.arrange();
  assert.deepEqual(one.order, ["s3", "s1"]);
});

test("a new row stands below the one that it was made beside, and takes over what it is part of", () => {
  const { desk: one } = desk([row("s1", { element: "e2" }), row("s2")]);
  const [made] = one.insert("s1");
  assert.deepEqual(one.order, ["s1", made, "s2"]);
  assert.equal(one.sheet.text(made, "element"), "101-DL");
  assert.equal(one.sheet.text(made, "number"), "");
});

test("a new row keeps its place and its entry when the service has given it its id", async () => {
  const { desk: one } = desk();
  const [made] = one.insert("s1");
  one.type(made, "number", "N-1");
  await one.outbox.flush();
  assert.deepEqual(one.order, ["s1", "made-1", "s2", "s3"]);
  assert.equal(one.places.get("made-1"), 1);
});

test("a record that others told of before the answer came stands there once", async () => {
  const { desk: one, service } = desk();
  const [made] = one.insert("s3");
  one.type(made, "number", "N-1");
  const send = service.send.bind(service);
  service.send = async (operations, key) => {
    const outcomes = await send(operations, key);
    one.sheet.load(outcomes.map((outcome) => ({ ...outcome.record })));
    return outcomes;
  };
  await one.outbox.flush();
  assert.deepEqual(one.order.filter((id) => id === "made-1"), ["made-1"]);
  assert.equal(one.sheet.ids().length, 4);
});

test("what somebody else makes comes last, unless it does not pass the filters", () => {
  const { desk: one } = desk();
  one.arrange({ filters: { status: "=taken" } });
  one.sheet.load([row("s8", { status: "planned" }), row("s9")]);
  assert.deepEqual(one.order, ["s1", "s2", "s3", "s9"]);
});

test("a paste says what it wrote, what it made and what it passed over", () => {
  const { desk: one } = desk();
  const names = ["mount", "layer_count"];
  const done = one.paste("A\t1\nB\t2\n", { ids: ["s3"], names: ["mount"] }, { ids: ["s3"], names });
  assert.match(done.said, /Pasted 2 × 2 cells\. 1 new rows\..*Layers/);
  assert.equal(one.order.length, 4);
  one.undo();
  assert.equal(one.order.length, 3);
  assert.equal(one.sheet.text("s3", "mount"), "");
});

test("who may not write changes nothing", () => {
  const { desk: one } = desk(undefined, { writes: false });
  assert.match(one.paste("x", { ids: ["s1"], names: ["part"] }, { ids: ["s1"], names: ["part"] }).refusal, /None of these cells/);
  assert.deepEqual(one.insert("s1"), []);
  assert.equal(one.remove(["s1"]), 0);
  one.type("s1", "part", "x");
  assert.equal(one.outbox.next(), null);
});

test("a group is closed and opened again", () => {
  const { desk: one } = desk();
  one.arrange({ groups: ["element"] });
  const head = one.entries[0].id;
  one.toggle(head);
  assert.equal(one.entries.length, 1);
  one.toggle(head);
  assert.equal(one.entries.length, 4);
});

test("drawn on from a corner one number is copied, a numbered text goes on", () => {
  const { desk: one } = desk([row("s1", { height_mm: 5, part: "B-1" }), row("s2"), row("s3")]);
  one.drag({ ids: ["s1", "s2", "s3"], names: ["height_mm"] }, 1);
  one.drag({ ids: ["s1", "s2", "s3"], names: ["part"] }, 1);
  assert.deepEqual(["s2", "s3"].map((id) => [one.sheet.text(id, "height_mm"), one.sheet.text(id, "part")]), [["5", "B-2"], ["5", "B-3"]]);
});

test("today goes into dates only", () => {
  const { desk: one } = desk();
  assert.equal(one.today({ ids: ["s1"], names: ["part", "taken_on"] }, new Date(2026, 4, 7)), 1);
  assert.equal(one.sheet.text("s1", "taken_on"), "2026-05-07");
});

test("all clashes are settled for one side", () => {
  const { desk: one, service } = desk();
  for (const id of ["s1", "s2"]) {
    one.type(id, "part", "mine");
    one.sheet.rebase(service.elsewhere(id, { part: "theirs" }));
  }
  one.settleClashes("theirs");
  assert.deepEqual(["s1", "s2"].map((id) => one.sheet.text(id, "part")), ["theirs", "theirs"]);
  assert.equal(one.sheet.counts().clashes, 0);
});

test("filling to the right passes over what cannot be written", () => {
  const { sheet } = bench([row("s1", { mount: "A" })]);
  assert.deepEqual(filledRight(sheet, { ids: ["s1"], names: ["mount", "part", "layer_count"] }), [{ id: "s1", name: "part", text: "A" }]);
});

test("a jump ends at the edge of what is filled, or at the next that is, or at the end", () => {
  const filled = (text) => (place) => text[place] === "x";
  assert.equal(edge(filled("xxx..x"), 0, 1, 6), 2);
  assert.equal(edge(filled("xxx..x"), 2, 1, 6), 5);
  assert.equal(edge(filled("x....."), 0, 1, 6), 5);
  assert.equal(edge(filled("xx..xx"), 4, -1, 6), 1);
  assert.equal(edge(filled("xx"), 1, 1, 2), 1);
});
