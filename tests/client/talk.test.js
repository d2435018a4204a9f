import assert from "node:assert/strict";
import test from "node:test";

import { deed } from "../../surveys/client/model/changes.js";
import { fresh, byDiscipline, groupPlace, groupTold, inShort, isNew, waits } from "../../surveys/client/model/news.js";
import { VIEWS, addressee, asked, askAddress, asks, mayAnswer, placeOf, restsOn, stateMark, viewOf } from "../../surveys/client/model/questions.js";
import { Marks, aboutName, beingTyped, offered, openThreads, parts, threadsOf } from "../../surveys/client/model/talk.js";

const HESTER = { username: "hester", name: "Hester Orian", role: "consultant", discipline: "architectural history" };
const OWEN = { username: "owen.n", name: "Owen Nerr", role: "owner", discipline: "ownership" };

test("only http and https become links, without the mark that ends the sentence", () => {
  assert.deepEqual(parts("See https://example.org/a?b=1. Or (http://example.org/c)!", []), [
    { kind: "text", text: "See " }, { kind: "link", text: "https://example.org/a?b=1", href: "https://example.org/a?b=1" }, { kind: "text", text: ". Or (" },
    { kind: "link", text: "http://example.org/c", href: "http://example.org/c" }, { kind: "text", text: ")!" },
  ]);
  assert.deepEqual(parts("https://example.org/a_(b)", [])[0], { kind: "link", text: "https://example.org/a_(b)", href: "https://example.org/a_(b)" });
});

test("nothing else becomes a link", () => {
  for (const text of ["javascript:alert(1)", "data:text/html,<b>x</b>", "ftp://example.org", "//example.org", "www.example.org", "https://", "http:///x", "mailto:a@example.org"]) {
    assert.deepEqual(parts(text, []).filter((one) => one.kind === "link"), [], text);
  }
});

test("markup stays text, and a link ends before it", () => {
  const found = parts('<a href="https://example.org/x">y</a>', []);
  assert.deepEqual(found.map((one) => one.text).join(""), '<a href="https://example.org/x">y</a>');
  assert.equal(found.find((one) => one.kind === "link")?.href, "https://example.org/x");
});

test("only who was called is shown as called", () => {
  assert.deepEqual(parts("@hester and @stranger", [HESTER]), [{ kind: "mention", text: "@hester" }, { kind: "text", text: " and @stranger" }]);
  assert.deepEqual(parts("Ask @Owen.N.", [OWEN]), [{ kind: "text", text: "Ask " }, { kind: "mention", text: "@Owen.N" }, { kind: "text", text: "." }]);
  assert.deepEqual(parts("x@hester", [HESTER]), [{ kind: "text", text: "x@hester" }]);
});

test("a name is being typed after an @ that begins a word, up to the caret", () => {
  assert.deepEqual(beingTyped("See @hes", 8), { start: 4, typed: "hes" });
  assert.deepEqual(beingTyped("@", 1), { start: 0, typed: "" });
  assert.deepEqual(beingTyped("See @hester there", 8), { start: 4, typed: "hes" });
  for (const [text, caret] of [["See hes", 7], ["a@hes", 5], ["@hes there", 10], ["See @hes", 3]]) assert.equal(beingTyped(String(text), Number(caret)), null, String(text));
});

test("offered are those whose sign-in name or a part of whose name begins so", () => {
  assert.deepEqual(offered([HESTER, OWEN], "o").map((one) => one.username), ["hester", "owen.n"]);
  assert.deepEqual(offered([HESTER, OWEN], "ow"), [OWEN]);
  assert.deepEqual(offered([HESTER, OWEN], "zz"), []);
  assert.equal(offered(Array.from({ length: 20 }, (_, index) => ({ ...OWEN, username: `o${index}` })), "o").length, 6);
});

test("answers stand under their thread in the order in which they were written", () => {
  const comment = (id, thread, at) => ({ id, thread, created_at: `2026-01-0${at}` });
  const found = threadsOf([comment("d", "a", 4), comment("b", null, 2), comment("a", null, 1), comment("c", "a", 3)]);
  assert.deepEqual(found.map((one) => [one.head.id, one.replies.map((reply) => reply.id)]), [["a", ["c", "d"]], ["b", []]]);
});

test("what a comment is about is told by its name, its column, or that it is gone", () => {
  assert.equal(aboutName({ about_type: "layer", about_name: "S-1/2", about_field: "lower_boundary" }), "layer S-1/2, lower boundary");
  assert.equal(aboutName({ about_type: "project", about_name: "HALL", about_field: "" }), "the project");
  assert.equal(aboutName({ about_type: "layer", about_name: null, about_field: "" }), "layer (removed)");
});

test("marks tell where threads are open, by cell and by row, and what differs from before", () => {
  const count = (about_id, about_field, open, resolved = 0) => ({ about_type: "layer", about_id, about_field, open, resolved });
  const marks = new Marks([count("a", "", 1), count("a", "colour", 2), count("b", "kind", 0, 3)]);
  assert.deepEqual([marks.at("a", ""), marks.at("a", "colour"), marks.at("a", "kind"), marks.on("a"), marks.on("b"), marks.on("c")], [1, 2, 0, 3, 0, 0]);
  assert.deepEqual(marks.differing(new Marks([count("a", "colour", 2), count("a", "", 1)])), []);
  assert.deepEqual(marks.differing(new Marks([count("a", "colour", 1), count("c", "", 1)])).sort(), ["a", "c"]);
  assert.equal(openThreads(1), "1 open comment");
  assert.equal(openThreads(2), "2 open comments");
});

const QUESTION = { state: "open", overdue: false, author: "connie", to_person: null, to_name: null, to_discipline: "architectural history" };

test("who is asked by name or by discipline answers, a coordinator may, and nobody answers what is not open", () => {
  const owner = { username: "owen.n", role: "owner", discipline: "ownership" };
  assert.equal(asks(QUESTION, HESTER), true);
  assert.equal(mayAnswer(QUESTION, HESTER), true);
  assert.equal(mayAnswer(QUESTION, owner), false);
  assert.equal(mayAnswer(QUESTION, { ...owner, role: "coordinator" }), true);
  assert.equal(mayAnswer({ ...QUESTION, to_person: "owen.n", to_discipline: "" }, owner), true);
  assert.equal(mayAnswer({ ...QUESTION, to_discipline: "" }, { ...owner, discipline: "" }), false);
  assert.equal(mayAnswer({ ...QUESTION, state: "withdrawn" }, HESTER), false);
  assert.equal(mayAnswer(QUESTION, { ...HESTER, role: "contractor" }), false);
  assert.equal(asked(QUESTION, HESTER), false);
  assert.equal(asked({ ...QUESTION, author: "hester" }, HESTER), true);
});

test("how a question stands is told by shape and word, and whom it asks", () => {
  assert.deepEqual(stateMark({ state: "open", overdue: true }), { mark: "▲", word: "open, overdue" });
  assert.equal(new Set(["open", "answered", "withdrawn"].map((state) => stateMark({ state, overdue: false }).mark)).size, 3);
  assert.equal(addressee({ to_name: "Owen Nerr", to_discipline: "" }), "Owen Nerr");
  assert.equal(addressee({ to_name: null, to_discipline: "archaeology" }), "archaeology");
});

test("an unknown view is the first, and each has its own key", () => {
  assert.equal(viewOf("nonsense"), VIEWS[0]);
  assert.equal(viewOf("overdue").query.overdue, "true");
  assert.equal(new Set(VIEWS.map((one) => one.key)).size, VIEWS.length);
});

test("each kind of record leads to where it is shown, and what is gone leads nowhere", () => {
  assert.equal(placeOf("HALL", "layer", "x", "S-1/2"), "/projects/HALL/registers/layers/x");
  assert.equal(placeOf("HALL", "generation", "x", "101/3"), "/projects/HALL/spaces/101");
  assert.equal(placeOf("HALL", "interpretation", "x", "4"), "/projects/HALL/findings/4");
  assert.equal(placeOf("HALL", "question", "x", "2"), "/projects/HALL/questions/2");
  assert.equal(placeOf("HALL", "project", "x", "HALL"), "/projects/HALL");
  assert.equal(placeOf("HALL", "layer", "x", null), "");
  assert.equal(placeOf("HALL", "ruling", "x", "tie"), "");
  assert.equal(askAddress("HALL", "layer", "x", "S&1/2"), "/projects/HALL/questions/new?about=layer&id=x&name=S%261%2F2");
  assert.deepEqual(restsOn([{ type: "layer", id: "x", name: "n", note: "only this" }]), [{ type: "layer", id: "x" }]);
});

test("the history says a comment and a question once by what they are", () => {
  assert.equal(deed({ action: "created", record_type: "comment", record_name: "comment by Owen Nerr", fields: {} }), "created comment by Owen Nerr");
  assert.equal(deed({ action: "created", record_type: "question", record_name: "question 3", fields: {} }), "created question 3");
  assert.equal(deed({ action: "created", record_type: "layer", record_name: "S-1/2", fields: {} }), "created layer S-1/2");
});

const COUNTS = { code: "HALL", changes: 0, comments: 0, mentions: 0, answers: 0, questions: 0, overdue: 0, answered: 0, reviews: 0 };

test("what is new and what waits is told in words, and nothing is told as nothing", () => {
  assert.equal(fresh(COUNTS), "");
  assert.equal(waits(COUNTS), "");
  assert.equal(fresh({ ...COUNTS, changes: 12, comments: 1, mentions: 1 }), "12 changes, 1 comment and you are called in 1");
  assert.equal(waits({ ...COUNTS, questions: 2, overdue: 1, reviews: 1 }), "2 questions (1 overdue) and 1 review");
});

test("groups stand under their discipline in the order in which they came", () => {
  const group = (discipline, space, more = {}) => ({ discipline, space, count: 1, created: 0, changed: 0, removed: 0, records: [], ...more });
  const found = byDiscipline([group("archaeology", "1"), group("archaeology", ""), group("computed", "1")]);
  assert.deepEqual(found.map((one) => [one.discipline, one.groups.map((each) => each.space)]), [["archaeology", ["1", ""]], ["computed", ["1"]]]);
  assert.equal(groupTold(group("x", "1", { created: 2, removed: 1 })), "2 new and 1 removed");
  assert.equal(groupPlace(group("x", "101")), "Space 101");
  assert.match(groupPlace(group("x", "")), /whole structure/);
});

test("there is something to have seen where others wrote, not where only something waits", () => {
  const none = { groups: [], comments: 0, answered: [], questions: [{}], reviews: [{}] };
  assert.equal(isNew(none), false);
  assert.equal(isNew({ ...none, comments: 1 }), true);
  assert.equal(inShort(" a\n b ", 10), "a b");
  assert.equal(inShort("abcdefghij", 5), "abcd…");
});
