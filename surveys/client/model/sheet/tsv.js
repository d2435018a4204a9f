/** Ranges of cells as text, as desktop spreadsheets write and read them: cells parted by tabs, rows by line breaks. */

/** What a spreadsheet would read as a formula, were it pasted there. */
const FORMULA = /^[=+\-@]/;
const SHIELDED = /^'(?=[=+\-@])/;

/**
 * The rows and cells of a text. A cell in quotes may hold tabs, line breaks and doubled quotes; the line break at the very end ends the
 * last row and begins none.
 * @param {string} text
 * @returns {string[][]}
 */
export function parse(text) {
  /** @type {string[][]} */
  const rows = [];
  /** @type {string[]} */
  let row = [];
  let at = 0;
  for (;;) {
    const cell = text[at] === '"' ? quoted(text, at) : bare(text, at);
    row.push(cell.text);
    at = cell.end;
    if (at < text.length && text[at] === "\t") {
      at += 1;
      continue;
    }
    rows.push(row);
    row = [];
    at += text[at] === "\r" && text[at + 1] === "\n" ? 2 : 1;
    if (at >= text.length) return rows;
  }
}

/** @param {string} text @param {number} from */
function bare(text, from) {
  let end = from;
  while (end < text.length && text[end] !== "\t" && text[end] !== "\n" && text[end] !== "\r") end += 1;
  return { text: text.slice(from, end), end };
}

/**
 * A cell that begins with a quote. It is quoted only if the quotes end where the cell does: 5" board is a text with a quote in it.
 * @param {string} text @param {number} from
 */
function quoted(text, from) {
  let inner = "";
  for (let at = from + 1; at < text.length; at += 1) {
    if (text[at] !== '"') inner += text[at];
    else if (text[at + 1] === '"') {
      inner += '"';
      at += 1;
    } else {
      const end = at + 1;
      if (end >= text.length || "\t\n\r".includes(text[end] ?? "")) return { text: inner.replaceAll("\r\n", "\n"), end };
      break;
    }
  }
  return bare(text, from);
}

/**
 * A range as text.
 * @param {readonly (readonly string[])[]} rows
 */
export function format(rows) {
  return rows.map((row) => row.map(cell).join("\t")).join("\r\n");
}

/** @param {string} text */
function cell(text) {
  return /[\t\n\r"]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/**
 * A text as it may be handed to a spreadsheet: what begins like a formula is shielded by an apostrophe, so that nothing is executed.
 * Numbers are no formulas.
 * @param {string} text
 */
export function shield(text) {
  return FORMULA.test(text) && !/^[+-]?\d+([.,]\d+)?$/.test(text) ? `'${text}` : text;
}

/** A text as it came back from there. @param {string} text */
export function unshield(text) {
  return text.replace(SHIELDED, "");
}
