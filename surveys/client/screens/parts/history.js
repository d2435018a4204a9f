/**
 * What befell a record, in words, newest first; a former value is put back from here, as a new change.
 *
 *     history({ code, signal, id: row.id, changed: () => … })
 *     historyFold({ … }) – the same, folded up until one opens it
 */

import { history as readHistory, putBack } from "../../api/past.js";
import { ago, moment } from "../../lib/words.js";
import { besideWords, quoted } from "../../model/past.js";
import { Problem } from "../../model/problems.js";
import { button, h, refill, time } from "./dom.js";
import { announce, askedButton, busy, refusals } from "./say.js";

/** @typedef {import("../../model/past.js").ToldChange} ToldChange */
/** @typedef {import("../../model/past.js").ChangedField} ChangedField */

/**
 * @typedef {object} HistoryOptions
 * @property {AbortSignal} signal stops when the screen is left
 * @property {string} code of the project
 * @property {string} id of the record
 * @property {() => void} [changed] told when a former value was put back
 */

/** @param {HistoryOptions} options @returns {HTMLElement} */
export function history(options) {
  return new History(options).element;
}

/** @param {HistoryOptions} options @param {string} [title] @returns {HTMLElement} */
export function historyFold(options, title = "History") {
  let shown = false;
  const fold = h("details", { class: "history", ontoggle: () => {
    if (!fold.open || shown) return;
    shown = true;
    fold.append(history(options));
  } }, h("summary", null, title));
  return fold;
}

class History {
  /** @param {HistoryOptions} options */
  constructor(options) {
    this.options = options;
    this.list = h("ol", { class: "changes" });
    this.more = h("p", { class: "buttons" });
    this.problem = refusals();
    /** @type {number | null} */
    this.version = null;
    this.element = h("div", { class: "past" }, this.problem.place, this.list, this.more);
    this.read(null).catch(this.problem.show);
  }

  /** @param {number | null} before */
  async read(before) {
    const { code, id, signal } = this.options;
    const page = await readHistory(code, id, before, signal).catch((error) => {
      if (signal.aborted) return null;
      throw error;
    });
    if (!page) return;
    this.version = page.version;
    const items = page.changes.map((line) => this.item(line));
    if (before === null) refill(this.list, items);
    else this.list.append(...items);
    const cursor = page.cursor;
    refill(this.more, cursor !== null && this.older(cursor));
    if (before !== null) items[0]?.focus();
  }

  /** @param {number} cursor */
  older(cursor) {
    const pressed = button("Older changes", () => busy(pressed, this.problem, () => this.read(cursor)), { class: "quiet" });
    return pressed;
  }

  /** @param {ToldChange} line */
  item(line) {
    const beside = besideWords(line);
    const whole = line.action !== "changed";
    return h("li", { tabindex: -1 },
      h("p", { class: "what" }, time(line.at, ago(line.at, Date.now()), moment(line.at)), ` ${line.actor}: `, whole || line.fields.length > 3 ? line.sentence : "changed",
        line.reason && h("span", { class: "reason" }, ` ${line.reason}`)),
      line.fields.length > 0 && (whole ? h("details", null, h("summary", null, "All that it held"), this.fields(line)) : this.fields(line)),
      beside && h("p", { class: "hint" }, beside));
  }

  /** @param {ToldChange} line */
  fields(line) {
    return h("ul", { class: "fieldchanges" }, line.fields.map((field) => h("li", null, this.words(line, field), field.restorable && this.putBack(line, field))));
  }

  /** @param {ToldChange} line @param {ChangedField} field */
  words(line, field) {
    if (line.action === "created" || line.action === "restored") return `${field.label}: ${quoted(field.after)} `;
    if (line.action === "removed") return `${field.label}: ${quoted(field.before)} `;
    return `${field.label} from ${quoted(field.before)} to ${quoted(field.after)} `;
  }

  /** @param {ToldChange} line @param {ChangedField} field */
  putBack(line, field) {
    const { code, id } = this.options;
    const short = field.before.length > 40 ? `${field.before.slice(0, 39)}…` : field.before;
    const name = `Put back ${field.before === "" ? `a blank ${field.label}` : `${field.label} ${quoted(short)}`}`;
    const made = askedButton("Put back", `${name}, as a new change?`, "Put back", (pressed) => busy(pressed, this.problem, async () => {
      try {
        await putBack(code, id, line.sequence, [field.name], this.version ?? 0);
      } catch (error) {
        if (!(error instanceof Problem) || error.status !== 412) throw error;
        await this.read(null);
        throw new Problem(412, error.code, "Somebody changed this record meanwhile. Its history is shown as it is now; look again, then do it once more.");
      }
      announce(`${field.label} is put back.`);
      await this.read(null);
      this.list.querySelector("li")?.focus();
      this.options.changed?.();
    }));
    made.querySelector("button")?.setAttribute("aria-label", name);
    return made;
  }
}
