/** Who else is in this register, and elsewhere in the project. */

import { isStop, wait } from "../../api/http.js";
import { present } from "../../api/sheets.js";
import { list } from "../../lib/words.js";
import { h } from "../parts/dom.js";
import { reportUnexpected } from "../parts/say.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */

const EVERY = 8000;

/** @param {Visit} visit @param {string} code @param {import("../../model/sheet/columns.js").SheetKind} kind */
export function presence(visit, code, kind) {
  const place = h("p", { class: "presence", role: "status" });
  ask(visit, code, kind.name, place).catch((error) => !isStop(error) && reportUnexpected(error));
  return place;
}

/** @param {Visit} visit @param {string} code @param {string} name @param {HTMLElement} place */
async function ask(visit, code, name, place) {
  const where = `registers/${name}`;
  for (;;) {
    // Who is here is of no weight: what cannot be had now is asked for again.
    const found = await present(code, where, visit.signal).catch((error) => {
      if (isStop(error)) throw error;
      return null;
    });
    if (found) {
      const here = found.filter((one) => one.where === where).map((one) => one.name);
      const said = here.length > 0 ? `Also in this register: ${list(here)}.` : "";
      if (place.textContent !== said) place.textContent = said;
    }
    await wait(EVERY, visit.signal);
  }
}
