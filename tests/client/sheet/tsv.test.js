import assert from "node:assert/strict";
import test from "node:test";

import { format, parse, shield, unshield } from "../../../surveys/client/model/sheet/tsv.js";

test("rows end with CRLF, LF or CR, and the last line break begins no row", () => {
  assert.deepEqual(parse("a\tb\r\nc\td\r\n"), [["a", "b"], ["c", "d"]]);
  assert.deepEqual(parse("a\tb\nc\td"), [["a", "b"], ["c", "d"]]);
  assert.deepEqual(parse("a\rb\r"), [["a"], ["b"]]);
});

test("a blank line between rows is a row with a blank cell", () => {
  assert.deepEqual(parse("a\n\nb\n"), [["a"], [""], ["b"]]);
  assert.deepEqual(parse("\t\r\n"), [["", ""]]);
  assert.deepEqual(parse(""), [[""]]);
});

test("a quoted cell keeps its tabs and line breaks, and doubled quotes are one", () => {
  assert.deepEqual(parse('"first\r\nsecond"\tb\r\n'), [["first\nsecond", "b"]]);
  assert.deepEqual(parse('"a\tb"\t"say ""no"""\n'), [["a\tb", 'say "no"']]);
  assert.deepEqual(parse('""\tb'), [["", "b"]]);
});

test("a quote within a text quotes nothing", () => {
  assert.deepEqual(parse('5" board\tx'), [['5" board', "x"]]);
  assert.deepEqual(parse('"grey" ground\tx\n'), [['"grey" ground', "x"]]);
  assert.deepEqual(parse('"never closed\tx\n'), [['"never closed', "x"]]);
});

test("what is written is read back as it was", () => {
  const rows = [["plain", 'with "quotes"', "two\nlines"], ["", "tab\there", "ü £ 漆"]];
  assert.deepEqual(parse(format(rows)), rows);
});

test("what a spreadsheet would run as a formula is shielded on its way out, and comes back as it was", () => {
  for (const text of ["=1+1", "@SUM(A1)", "+cmd", "-2+3"]) assert.equal(shield(text), `'${text}`);
  for (const text of ["-5", "12", "+0.5", "grey = stone", "'quoted"]) assert.equal(shield(text), text);
  for (const text of ["=1+1", "-5", "'quoted'", "grey"]) assert.equal(unshield(shield(text)), text);
});
