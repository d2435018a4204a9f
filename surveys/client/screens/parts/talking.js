/** Where threads are open on the records of a screen, and opening one in place. */

import { isStop } from "../../api/http.js";
import { threadCounts } from "../../api/talk.js";
import { askAddress } from "../../model/questions.js";
import { mayTalk } from "../../model/roles.js";
import { Marks, fieldName, openThreads } from "../../model/talk.js";
import { openBeside } from "./beside.js";
import { h, link, newId } from "./dom.js";
import { historyFold } from "./history.js";
import { reportUnexpected } from "./say.js";
import { threads } from "./threads.js";

/** @typedef {import("./visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */

export class Talking {
  /** @param {Visit} visit @param {Project} project @param {readonly string[]} types @param {(ids: string[]) => void} changed told which records have other marks now */
  constructor(visit, project, types, changed) {
    this.visit = visit;
    this.project = project;
    this.types = types;
    this.changed = changed;
    this.marks = new Marks();
  }

  /** Look where threads are open now; called at first, and whenever somebody commented. */
  async read() {
    try {
      const counts = await threadCounts(this.project.code, this.types.length === 1 ? this.types[0] : "", this.visit.signal);
      const before = this.marks;
      this.marks = new Marks(counts.filter((one) => this.types.includes(one.about_type)));
      const ids = this.marks.differing(before);
      if (ids.length > 0) this.changed(ids);
    } catch (error) {
      if (!isStop(error)) reportUnexpected(error);
    }
  }

  /**
   * Open what is said about a record, or about one column of it.
   * @param {object} about
   * @param {string} about.type
   * @param {string} about.id
   * @param {string} about.name
   * @param {string} [about.field]
   * @param {string} [about.label] the column as the screen calls it
   * @param {() => void} about.back
   */
  open({ type, id, name, field = "", label = fieldName(field), back }) {
    const { visit, project } = this;
    openBeside(visit, {
      key: `${type} ${id} ${field}`, title: `${type} ${name}${field ? `, ${label}` : ""}`, back,
      content: (signal) => [threads({ visit, project, type, id, ...(field ? { field } : {}), signal, changed: () => void this.read() }),
        mayTalk(project.role) && h("p", null, link(askAddress(project.code, type, id, name), "Ask a question about this")),
        historyFold({ code: project.code, signal: AbortSignal.any([signal, visit.signal]), id }, "History of this record")],
    });
  }
}

/** The mark of open threads: a box with their number. @param {number} open @param {string} [of] */
export function talkMark(open, of = "") {
  return open === 0 ? null : h("span", { class: "talkmark", title: openThreads(open) }, h("span", { "aria-hidden": "true" }, `”${open}`), h("span", { class: "hidden" }, `, ${openThreads(open)}${of}`));
}

/**
 * What is said about a record, as a part of its page.
 * @param {Visit} visit @param {Project} project @param {string} type @param {string} id @param {string} [name] by which one asks about it
 */
export function talkSection(visit, project, type, id, name = "") {
  const title = newId("comments");
  return h("section", { "aria-labelledby": title }, h("h2", { id: title }, "Comments"), threads({ visit, project, type, id }),
    name && mayTalk(project.role) && h("p", null, link(askAddress(project.code, type, id, name), "Ask a question about this")));
}
