import assert from "node:assert/strict";
import test from "node:test";

import { lastUsed, where } from "../../surveys/client/model/sessions.js";
import { grouped } from "../../surveys/client/model/signing.js";

const NOW = Date.parse("2026-11-30T12:00:00Z");
const made = (values) => ({ id: "a", current: false, began_at: null, last_used_at: null, browser: "Firefox on Linux", network: "", ...values });

test("the session in which one looks is told from others", () => {
  assert.equal(where(made({})), "Firefox on Linux");
  assert.equal(where(made({ current: true })), "Firefox on Linux (this one)");
  assert.equal(where(made({ browser: "" })), "A browser");
});

test("the last use is told no more exactly than it is known", () => {
  for (const [at, said] of [["11:59", "within the last hour"], ["11:01", "within the last hour"], ["10:00", "2 hours ago"]]) {
    assert.equal(lastUsed(made({ last_used_at: `2026-11-30T${at}:00Z` }), NOW), said);
  }
  assert.equal(lastUsed(made({ last_used_at: "2026-11-28T12:00:00Z" }), NOW), "2 days ago");
  assert.equal(lastUsed(made({}), NOW), "not known");
  assert.equal(lastUsed(made({ current: true, last_used_at: "2026-11-28T12:00:00Z" }), NOW), "now");
});

test("a key is shown in groups of four, and nothing of it is lost", () => {
  assert.equal(grouped("GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"), "GEZD GNBV GY3T QOJQ GEZD GNBV GY3T QOJQ");
  assert.equal(grouped("ABCDE"), "ABCD E");
  assert.equal(grouped(""), "");
});
