/** How cells look: their text, their colour, and their state by mark and word. */

import { openThreads } from "../model/talk.js";
import { make } from "./make.js";
import { paint } from "./swatches.js";

/** @typedef {import("../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../model/sheet/arrange.js").Entry} Entry */
/** @typedef {import("../model/sheet/arrange.js").GroupEntry} GroupEntry */
/** @typedef {import("../model/sheet/columns.js").Column} Column */
/** @typedef {import("../model/sheet/sheet.js").Cell} Cell */
/** @typedef {import("./swatches.js").Swatches} Swatches */

const MARKS = { unsaved: "○", saving: "◌", saved: "●", refused: "✕", clash: "≠" };
const WORDS = { unsaved: "not saved yet", saving: "being saved", saved: "saved", refused: "refused", clash: "changed by somebody else too" };

/**
 * What draws a column's cells.
 * @param {Desk} desk @param {Column} column @param {Swatches} swatches
 * @returns {import("slickgrid").Formatter}
 */
export function formatter(desk, column, swatches) {
  return (_row, _cell, _value, _definition, /** @type {Entry} */ entry) => {
    if (!entry || entry.kind !== "row") return "";
    const cell = desk.sheet.cell(entry.id, column.name);
    const colour = colourOf(desk, entry.id, column, cell.text);
    const open = column.name === desk.kind.key ? desk.talk.on(entry.id) : desk.talk.at(entry.id, column.name);
    if (cell.state === "clean" && colour === "" && open === 0) return oneLine(cell.text);
    const whole = make("span", "content");
    if (colour !== "") whole.append(swatch(swatches, colour));
    whole.append(make("span", "text", oneLine(cell.text)));
    if (open > 0) whole.append(talked(open));
    if (cell.state === "clean") return whole;
    dress(whole, cell);
    return { html: whole, addClasses: `is-${cell.state}`, toolTip: spoken(cell) };
  };
}

/** What a cell's swatch shows: its notation, or the whole of L*, a* and b* beside the first of them; "" for none. @param {Desk} desk @param {string} id @param {Column} column @param {string} text */
function colourOf(desk, id, column, text) {
  if (column.type === "munsell") return text;
  if (column.name !== "lab_l") return "";
  const parts = ["lab_l", "lab_a", "lab_b"].map((name) => desk.sheet.value(id, name));
  return parts.every((part) => typeof part === "number") ? `L*a*b* ${parts.join(" ")}` : "";
}

/** @param {Swatches} swatches @param {string} text */
function swatch(swatches, text) {
  const made = make("span", "swatch", "", { "aria-hidden": "true" });
  paint(made, swatches.of(text));
  return made;
}

/** That threads are open on a cell; in the first column, on its row. @param {number} open */
function talked(open) {
  const mark = make("span", "talkmark");
  mark.append(make("span", "", `”${open}`, { "aria-hidden": "true" }), make("span", "hidden", `, ${openThreads(open)}`));
  return mark;
}

/** @param {HTMLElement} whole @param {Cell} cell */
function dress(whole, cell) {
  if (cell.state === "clean") return;
  if (cell.state === "clash") whole.append(make("span", "theirs", `≠ ${oneLine(cell.theirs) || "(blank)"}`, { "aria-hidden": "true" }));
  whole.append(make("span", "cellmark", MARKS[cell.state], { "aria-hidden": "true" }));
  whole.append(make("span", "hidden", `, ${spoken(cell)}`));
}

/** A state in words. @param {Cell} cell */
export function spoken(cell) {
  if (cell.state === "clean") return "";
  if (cell.state === "refused") return `refused: ${cell.reason}`;
  if (cell.removed) return `you removed this row when it said ${cell.text || "nothing"}; recorded now: ${cell.theirs || "blank"}`;
  if (cell.state === "clash") return `${WORDS.clash}; recorded now: ${cell.theirs || "blank"}`;
  return WORDS[cell.state];
}

/** @param {string} text */
function oneLine(text) {
  return text.includes("\n") ? text.replaceAll("\n", " ⏎ ") : text;
}

/**
 * What draws the head of a group.
 * @param {Desk} desk
 * @returns {import("slickgrid").Formatter}
 */
export function groupFormatter(desk) {
  return (_row, _cell, _value, _definition, /** @type {GroupEntry} */ entry) => {
    const label = desk.sheet.columns.get(entry.field)?.label ?? entry.field;
    const made = make("span", `grouphead level-${entry.level}`);
    made.append(make("span", "turn", entry.open ? "▾" : "▸", { "aria-hidden": "true" }), ` ${label}: ${entry.value} `);
    made.append(make("span", "many", `(${entry.count.toLocaleString("en-GB")})`));
    made.append(make("span", "hidden", entry.open ? ", open" : ", closed"));
    return made;
  };
}
