import assert from "node:assert/strict";
import test from "node:test";

import { match, path, within, withQuery } from "../../surveys/client/lib/paths.js";
import * as waits from "../../surveys/client/lib/waits.js";
import { ago, count, list, size, years } from "../../surveys/client/lib/words.js";

test("a pattern fits a path of as many steps and names its parts", () => {
  assert.deepEqual(match("/projects/:code/spaces/:number", "/projects/HALL/spaces/101"), { code: "HALL", number: "101" });
  assert.deepEqual(match("/", "/"), {});
});

test("a pattern does not fit a longer or another path", () => {
  assert.equal(match("/projects/:code", "/projects/HALL/members"), null);
  assert.equal(match("/projects/:code", "/members/HALL"), null);
});

test("a number with a slash in it survives going into an address and back", () => {
  const made = path("projects", "HALL", "spaces", "1/2 b");
  assert.equal(made, "/projects/HALL/spaces/1%2F2%20b");
  assert.deepEqual(match("/projects/:code/spaces/:number", made), { code: "HALL", number: "1/2 b" });
});

test("a path that is not properly written fits nothing instead of failing", () => {
  assert.equal(match("/projects/:code", "/projects/%E0%A4%A"), null);
});

test("what is empty is left out of a query", () => {
  assert.equal(withQuery("/x", { search: "", page: null, space: "1&2" }), "/x?space=1%262");
  assert.equal(withQuery("/x", {}), "/x");
});

test("after signing in nobody is led to another site", () => {
  for (const wicked of ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "javascript:alert(1)", "/\t/elsewhere.example", null, ""]) {
    assert.equal(within(wicked), "/", String(wicked));
  }
  assert.equal(within("/projects/HALL?zoom=100"), "/projects/HALL?zoom=100");
  assert.equal(within("/sign-in?next=/"), "/");
});

test("years are told with words for what is not known", () => {
  assert.equal(years(1838, 1842), "1838 to 1842");
  assert.equal(years(1838, 1838), "1838");
  assert.equal(years(1809, null), "not before 1809");
  assert.equal(years(null, 1905), "not after 1905");
  assert.equal(years(null, null), "");
  assert.equal(years(-120, -80), "120 BCE to 80 BCE");
});

test("counts, lists and sizes read as a person would say them", () => {
  assert.equal(count(1, "layer"), "1 layer");
  assert.equal(count(1372, "layer"), "1,372 layers");
  assert.equal(list(["a", "b", "c"]), "a, b and c");
  assert.equal(list([]), "");
  assert.equal(size(999), "999 bytes");
  assert.equal(size(120_400), "120 kB");
  assert.equal(size(52_428_800), "52.4 MB");
});

test("a moment is told from now, and by its day once it is a week old", () => {
  const now = Date.parse("2026-05-14T12:00:00Z");
  assert.equal(ago("2026-05-14T11:59:40Z", now), "just now");
  assert.equal(ago("2026-05-14T11:55:00Z", now), "5 minutes ago");
  assert.equal(ago("2026-05-14T09:00:00Z", now), "3 hours ago");
  assert.equal(ago("2026-05-12T12:00:00Z", now), "2 days ago");
  assert.equal(ago("2026-04-01T12:00:00Z", now), "1 April 2026");
  assert.equal(ago("no moment", now), "");
});

test("one asks each second while something moves, and more and more seldom while nothing does", () => {
  assert.equal(waits.next(15_000, true), 1000);
  let pause = 1000;
  const seen = [];
  for (let turn = 0; turn < 12; turn += 1) seen.push((pause = waits.next(pause, false)));
  assert.ok(seen.every((value, index) => index === 0 || value >= (seen[index - 1] ?? 0)));
  assert.equal(seen.at(-1), waits.LONGEST);
  assert.deepEqual([0, 1, 2, 9].map(waits.afterFailure), [1000, 2000, 4000, 15_000]);
});
