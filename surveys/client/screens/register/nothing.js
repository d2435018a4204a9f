/** What is said where rows would stand, if there are none. */

import { path } from "../../lib/paths.js";
import { button, h, link, refill } from "../parts/dom.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */

/** @param {Desk} desk @param {string} code @param {{ all: () => void, insert: () => void, imports: boolean }} may */
export function nothing(desk, code, may) {
  const element = h("p", { class: "nothing", hidden: true });
  const { kind } = desk;

  function refresh() {
    const whole = desk.sheet.ids().length;
    element.hidden = desk.order.length > 0;
    if (element.hidden) return;
    if (whole > 0) refill(element, `None of the ${whole.toLocaleString("en-GB")} rows is like what is searched and filtered for. `, button("Show all rows", may.all, { class: "quiet" }));
    else {
      refill(element, `No ${kind.title.toLowerCase()} yet. `, desk.makes && [button("Make a row", may.insert, { class: "quiet" }), " and type, or paste into it what lies in a spreadsheet."],
        may.imports && [" Or ", link(path("projects", code, "import"), "import a workbook"), "."]);
    }
  }
  desk.sheet.listen((told) => told.rows && refresh());
  return { element, refresh };
}
