/** On a record's page: the photographs and documents on it, and bringing more. */

import { isStop, wait } from "../../api/http.js";
import { attachmentsOf } from "../../api/pictures.js";
import { mayWrite } from "../../model/roles.js";
import { h, newId, refill } from "../parts/dom.js";
import { refusals } from "../parts/say.js";
import { adding } from "./adding.js";
import { listed } from "./listed.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */

const PAUSE = 1500;
const MICROGRAPHS = new Set(["sample", "layer"]);

/** @param {Visit} visit @param {Project} project @param {string} type @param {string} id */
export function attachmentsSection(visit, project, type, id) {
  const { code } = project;
  const writes = mayWrite(project.role);
  const title = newId("attachments");
  const problem = refusals();
  const place = h("div", null, h("p", null, "Looking for attachments …"));
  let turn = 0;
  let shown = "";

  /** Again while something is being looked into. */
  async function read() {
    turn += 1;
    const mine = turn;
    try {
      for (;;) {
        const found = await attachmentsOf(code, type, id, visit.signal);
        if (mine !== turn) return;
        const now = JSON.stringify(found);
        // What is the same stays: drawing it anew would take the focus away.
        if (now !== shown) refill(place, found.length === 0 ? h("p", { class: "empty" }, "No picture and no document is attached.") : listed({ code, signal: visit.signal, writes, changed: () => void read() }, found));
        shown = now;
        if (!found.some((one) => one.prepared === "waiting")) return;
        await wait(PAUSE, visit.signal);
      }
    } catch (error) {
      if (!isStop(error)) problem.show(error);
    }
  }

  void read();
  const kinds = MICROGRAPHS.has(type) ? ["photograph", "document", "visible micrograph", "UV micrograph"] : ["photograph", "document"];
  return h("section", { class: "attached", "aria-labelledby": title }, h("h2", { id: title }, "Attachments"), problem.place, place,
    writes && h("details", null, h("summary", null, "Attach a photograph or a document"),
      adding({ code, username: visit.person?.username ?? "", signal: visit.signal, type, id, kinds, microscopes: [], attached: () => void read(), busy: visit.unsaved }).element));
}
