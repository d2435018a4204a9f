/** The register on paper: a plain table of the rows that are shown, made when the page is printed. */

import { head } from "../../model/sheet/columns.js";
import { shown } from "../../model/sheet/shown.js";
import { h, refill } from "../parts/dom.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../../model/sheet/columns.js").Column} Column */
/** @typedef {import("../../model/sheet/arrange.js").Entry} Entry */

const MOST = 3000;
/** From so many columns on the type is smaller. */
const MANY = 16;

/** @param {Desk} desk @param {string} project what the project is called */
export function printed(desk, project) {
  const place = h("div", { class: "printed" });
  const before = () => {
    if (!place.isConnected) {
      removeEventListener("beforeprint", before);
      return;
    }
    const entries = desk.entries.slice(0, MOST);
    const ids = entries.flatMap((one) => (one.kind === "row" ? [one.id] : []));
    const all = shown(desk.look, desk.sheet.columns.values());
    const filled = all.filter((one) => ids.some((id) => desk.sheet.text(id, one.name) !== ""));
    const columns = filled.length > 0 ? filled : all;
    place.classList.toggle("many", columns.length > MANY);
    refill(place, h("p", null, said(desk, project)), left(all, columns),
      h("table", null, h("thead", null, h("tr", null, columns.map((one) => h("th", { scope: "col" }, head(one))))),
        h("tbody", null, entries.map((entry) => line(desk, entry, columns)))));
  };
  addEventListener("beforeprint", before);
  addEventListener("afterprint", () => refill(place));
  return place;
}

/** Which rows these are, and as of when. @param {Desk} desk @param {string} project */
function said({ look, sheet, order, kind, entries }, project) {
  const filters = Object.entries(look.filters).filter(([, text]) => text).map(([name, text]) => `${sheet.columns.get(name)?.label ?? name} ${text}`);
  const told = (/** @type {number} */ count) => count.toLocaleString("en-GB");
  return [`${project}: ${kind.title.toLowerCase()}, ${order.length < sheet.ids().length ? `${told(order.length)} of ${told(sheet.ids().length)}` : told(order.length)}`,
    look.search && `with “${look.search}”`, filters.length > 0 && `only ${filters.join("; ")}`, entries.length > MOST && `the first ${told(MOST)} lines; the others go out as a workbook`,
    `as of ${new Date().toLocaleString("en-GB", { dateStyle: "long", timeStyle: "short" })}`].filter(Boolean).join("; ");
}

/** Columns with nothing in them are told rather than printed. @param {Column[]} all @param {Column[]} columns */
function left(all, columns) {
  const without = all.filter((one) => !columns.includes(one)).map((one) => one.label);
  return without.length > 0 && h("p", null, `Nothing stands in: ${without.join(", ")}.`);
}

/** @param {Desk} desk @param {Entry} entry @param {Column[]} columns */
function line({ sheet }, entry, columns) {
  if (entry.kind === "row") return h("tr", null, columns.map((one) => h("td", null, sheet.text(entry.id, one.name))));
  const label = sheet.columns.get(entry.field)?.label ?? entry.field;
  return h("tr", null, h("th", { colspan: columns.length, scope: "rowgroup", class: `level-${entry.level}` }, `${label}: ${entry.value} (${entry.count.toLocaleString("en-GB")})`));
}
