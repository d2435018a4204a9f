/** The rows of a schedule as a table, space by space. */

import { count } from "../../lib/words.js";
import { bySpace, colourNumbers, decisionOf, finishOf, groundOf, marksCounted } from "../../model/schedules.js";
import { button, h, newId } from "../parts/dom.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/schedules.js").FinishRow} FinishRow */
/** @typedef {import("../../model/schedules.js").Content} Content */

const HEADS = ["Element", "Substrate", "Finish, sheen", "Colour", "Rests on", "Marks", "For the contractor"];

/**
 * @param {readonly FinishRow[]} rows
 * @param {(row: FinishRow) => import("../parts/dom.js").Child} [deed] what one can do with a row
 * @param {ReadonlyMap<string, string>} [since] by element, what of its ground has changed since the issue
 */
export function rowTables(rows, deed, since) {
  return bySpace(rows).map(({ space, name, rows: held }) => {
    const id = newId("space");
    const title = name ? `Space ${space}, ${name}` : `Space ${space}`;
    return h("section", { class: "finishes", "aria-labelledby": id }, h("h2", { id }, title, " ", h("span", { class: "hint" }, count(held.length, "row"))),
      table(title, deed ? [...HEADS, "Edit"] : HEADS, held.map((row) => [...cells(row, since), ...(deed ? [deed(row)] : [])])));
  });
}

/** @param {FinishRow} row @param {ReadonlyMap<string, string>} [since] */
function cells(row, since) {
  const changed = since?.get(row.element);
  return [
    h("div", { id: `row-${row.element}` }, h("strong", null, row.element), line(row.element_class), line(row.position), line(row.additions.group),
      changed && h("p", { class: "changedsince" }, "▲ Changed since issue: ", changed)),
    h("div", null, row.substrate || "–", line(row.additions.preparation)),
    h("div", null, row.state === "no evidence" && !row.finish ? h("strong", { class: "gap" }, "No evidence") : h("strong", null, finishOf(row)),
      line([row.sheen, row.gloss].filter(Boolean).join(": ")), line(decisionOf(row))),
    colour(row),
    h("div", null, groundOf(row), row.state === "found" && line(row.doubts.join(" ")), alternatives(row.alternatives)),
    h("div", null, row.marks.map((mark) => h("span", { class: "mark" }, mark)), line(row.review ? `Interpretation: ${row.review}` : "")),
    h("div", null, line(row.additions.quantity), row.additions.hold_point && line(`Hold: ${row.additions.hold_point}`), line(row.additions.remarks)),
  ];
}

/** @param {readonly string[]} told likeliest first */
function alternatives(told) {
  if (told.length === 0) return null;
  const more = told.length > 2 ? `; and ${told.length - 2} less likely` : "";
  return line(`Otherwise ${told.slice(0, 2).join("; ")}${more}.`);
}

/** @param {string} text */
function line(text) {
  return text ? h("div", { class: "by" }, text) : null;
}

/** @param {FinishRow} row */
function colour(row) {
  if (!row.munsell && !row.colour_word) return "–";
  const swatch = h("span", { class: `swatch wide${row.srgb ? "" : " unknown"}${row.in_gamut ? "" : " beyond"}`, "aria-hidden": "true" });
  if (row.srgb) swatch.style.backgroundColor = row.srgb;
  return h("div", null, swatch, " ", h("strong", null, row.munsell || row.colour_word), row.munsell_is_nearest ? " (nearest)" : "",
    line(row.munsell ? row.colour_word : ""), line(colourNumbers(row)));
}

/** What the marks mean, each with how often it stands. @param {Content} content @param {(mark: string) => import("../parts/dom.js").Child} shown */
export function marksList(content, shown) {
  const found = marksCounted(content);
  return found.length > 0 && h("details", { class: "marksmean" }, h("summary", null, "Marks, and what they mean"),
    h("ul", null, found.map((one) => h("li", null, shown(one.mark), ` on ${count(one.count, "row")}. ${one.means}`))));
}

/** The cautions that travel with the sheet: the least that nobody may miss, for its head, and all of them, for its foot. @param {readonly string[]} cautions */
export function cautionList(cautions) {
  const id = newId("cautions");
  const head = h("h2", { id, tabindex: "-1" }, "Cautions");
  const whole = h("section", { "aria-labelledby": id, class: "cautions" }, head, h("ul", null, cautions.map((one) => h("li", null, one))));
  const warning = h("p", { class: "box" }, "▲ Take old paint to hold lead until it is tested. Match colours to the notation, never to a screen. ", button("All cautions", () => head.focus(), { class: "quiet" }));
  return { warning, whole };
}
