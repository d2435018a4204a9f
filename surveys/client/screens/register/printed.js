/** The register on paper: a plain table of the rows that are shown, made when the page is printed. */

import { head } from "../../model/sheet/columns.js";
import { shown } from "../../model/sheet/shown.js";
import { h, refill } from "../parts/dom.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */

const MOST = 3000;

/** @param {Desk} desk */
export function printed(desk) {
  const place = h("div", { class: "printed" });
  const before = () => {
    if (!place.isConnected) {
      removeEventListener("beforeprint", before);
      return;
    }
    const columns = shown(desk.look, desk.sheet.columns.values());
    const ids = desk.order.slice(0, MOST);
    refill(place,
      desk.order.length > MOST && h("p", null, `The first ${MOST.toLocaleString("en-GB")} of ${desk.order.length.toLocaleString("en-GB")} rows; the others go out as a workbook.`),
      h("table", null, h("thead", null, h("tr", null, columns.map((one) => h("th", { scope: "col" }, head(one))))),
        h("tbody", null, ids.map((id) => h("tr", null, columns.map((one) => h("td", null, desk.sheet.text(id, one.name))))))));
  };
  addEventListener("beforeprint", before);
  addEventListener("afterprint", () => refill(place));
  return place;
}
