/**
 * What is said about a record, or about one column of it: threads that are answered and settled in place, kept current while they are shown.
 *
 *     threads({ visit, project, type: "interpretation", id: row.id })
 */

import { newKey } from "../../api/http.js";
import { project as readProject } from "../../api/records.js";
import { candidates, comments, edit, say, settle, takeBack } from "../../api/talk.js";
import { capital } from "../../lib/words.js";
import { Problem } from "../../model/problems.js";
import { mayManage, mayTalk } from "../../model/roles.js";
import { fieldName, threadsOf } from "../../model/talk.js";
import { live } from "../chart/live.js";
import { commentView } from "./comment.js";
import { button, h, newId, refill } from "./dom.js";
import { mentionField } from "./mentioning.js";
import { announce, askedButton, busy, refusals } from "./say.js";

/** @typedef {import("../../model/talk.js").Comment} Comment */
/** @typedef {import("../../model/talk.js").Thread} Thread */

/**
 * @typedef {object} ThreadOptions
 * @property {import("./visit.js").Visit} visit
 * @property {import("../../model/types.js").Project} project
 * @property {string} type what kind of record it is, as in 'layer'
 * @property {string} id
 * @property {string} [field] the column that is spoken of; without one, all that was said about the record is shown
 * @property {AbortSignal} [signal] stops following others' comments; without one, when the screen is left
 * @property {(open: number) => void} [changed] told how many threads are open, when they are first read and whenever that may have changed
 */

/** @param {ThreadOptions} options @returns {HTMLElement} */
export function threads(options) {
  return new Threads(options).element;
}

class Threads {
  /** @param {ThreadOptions} options */
  constructor(options) {
    this.options = options;
    this.code = options.project.code;
    this.signal = options.signal ? AbortSignal.any([options.signal, options.visit.signal]) : options.visit.signal;
    this.talks = mayTalk(options.project.role);
    this.list = h("ol", { class: "threads" });
    this.settled = h("ol", { class: "threads" });
    this.settledCount = h("summary");
    this.past = h("details", { class: "settled", hidden: true }, this.settledCount, this.settled);
    this.none = h("p", { class: "empty" }, "Reading the comments …");
    this.problem = refusals();
    /** @type {Map<string, HTMLElement>} the forms that are open: answers by their thread, changes by their comment */
    this.forms = new Map();
    /** @type {Comment[]} */
    this.comments = [];
    this.writing = this.talks ? this.form({ key: "new", label: "New comment", button: "Comment", send: (text, key) => this.say(text, null, key) }) : null;
    this.element = h("div", { class: "talk" }, this.none, this.list, this.past, this.problem.place, this.writing);
    this.begin().catch((error) => this.problem.show(error));
  }

  /** What is said now, and from here on. The screen may have been open for long, so its own place in the history is of no use. */
  async begin() {
    const { cursor = 0 } = await readProject(this.code, this.signal);
    await this.read();
    void live(this.signal, this.code, cursor, ["comment"], () => this.read());
  }

  async read() {
    const { type, id, field } = this.options;
    this.comments = await comments(this.code, { type, id, field }, this.signal);
    this.draw();
  }

  draw() {
    const all = threadsOf(this.comments);
    const open = all.filter((one) => !one.head.resolved);
    const settled = all.filter((one) => one.head.resolved);
    this.keepingFocus(() => {
      refill(this.list, open.map((one) => this.thread(one)));
      refill(this.settled, settled.map((one) => this.thread(one)));
    });
    this.none.textContent = all.length === 0 ? "Nobody has said anything about this yet." : open.length === 0 ? "No comment is open." : "";
    this.none.hidden = open.length > 0;
    this.past.hidden = settled.length === 0;
    this.settledCount.textContent = `${settled.length} resolved`;
    this.options.changed?.(open.length);
  }

  /** What is written in a form, and where one is in it, outlasts others' comments. @param {() => void} deed */
  keepingFocus(deed) {
    const active = document.activeElement;
    const kept = active instanceof HTMLElement && this.element.contains(active) ? active : null;
    const again = kept?.dataset["keep"];
    deed();
    if (!kept || document.activeElement === kept) return;
    const back = kept.isConnected ? kept : again ? this.element.querySelector(`[data-keep="${CSS.escape(again)}"]`) : null;
    if (back instanceof HTMLElement) back.focus({ preventScroll: true });
  }

  /** @param {Thread} thread */
  thread({ head, replies }) {
    const of = head.about_field && !this.options.field ? h("p", { class: "where" }, capital(fieldName(head.about_field))) : null;
    return h("li", { class: head.resolved ? "thread resolved" : "thread", "data-thread": head.id }, of,
      h("ol", { class: "said" }, [head, ...replies].map((one) => h("li", null, this.forms.get(`edit ${one.id}`) ?? commentView(one), this.own(one)))),
      this.talks && this.deeds(head), this.forms.get(`answer ${head.id}`));
  }

  /** What one may do with a comment. @param {Comment} one */
  own(one) {
    const mine = this.talks && one.author === this.options.visit.person?.username;
    if ((!mine && !mayManage(this.options.project.role)) || this.forms.has(`edit ${one.id}`)) return null;
    const what = one.thread === null ? "Remove it, with its answers? A coordinator can bring it back." : "Remove it? A coordinator can bring it back.";
    return h("p", { class: "deeds" }, mine && button("Edit", () => this.change(one), { class: "quiet", "data-keep": `edit ${one.id}` }), " ",
      askedButton("Remove", what, "Remove", (pressed) => this.do(pressed, "Removed.", () => takeBack(this.code, one))));
  }

  /** @param {Comment} head */
  deeds(head) {
    const settling = head.resolved ? "Open again" : "Resolve";
    const made = button(settling, () => this.do(made, head.resolved ? "Opened again." : "Resolved.", () => settle(this.code, head, head.resolved ? "reopen" : "resolve")),
      { class: "quiet", "data-keep": `settle ${head.id}` });
    return h("p", { class: "deeds" }, !this.forms.has(`answer ${head.id}`) && button("Reply", () => this.answer(head), { class: "quiet", "data-keep": `reply ${head.id}` }), " ", made);
  }

  /** @param {HTMLButtonElement} pressed @param {string} said @param {() => Promise<unknown>} deed */
  do(pressed, said, deed) {
    return busy(pressed, this.problem, async () => {
      try {
        await deed();
        announce(said);
      } finally {
        await this.read();
        if (!document.activeElement || document.activeElement === document.body) this.focus();
      }
    });
  }

  focus() {
    const first = this.writing?.querySelector("textarea") ?? this.element.querySelector("button");
    if (first instanceof HTMLElement) first.focus({ preventScroll: true });
  }

  /** @param {Comment} head */
  answer(head) {
    const key = `answer ${head.id}`;
    this.open(key, this.form({ key, label: `Answer to ${head.created_by}`, button: "Reply", leave: () => this.close(key, `reply ${head.id}`), send: async (text, once) => {
      await this.say(text, head, once);
      this.close(key, `reply ${head.id}`);
    } }));
  }

  /** @param {Comment} one */
  change(one) {
    const key = `edit ${one.id}`;
    this.open(key, this.form({ key, label: "Your comment", button: "Save", text: one.text, leave: () => this.close(key, key), send: async (text) => {
      try {
        await edit(this.code, one, text);
      } catch (error) {
        // Changed in another window meanwhile: the text that stands there now is shown, and what was typed stays.
        if (error instanceof Problem && error.status === 412 && error.current) Object.assign(one, { version: error.current.version });
        throw error;
      }
      announce("Saved.");
      await this.read();
      this.close(key, key);
    } }));
  }

  /** @param {string} key @param {HTMLElement} form */
  open(key, form) {
    this.forms.set(key, form);
    this.draw();
    form.querySelector("textarea")?.focus();
  }

  /** @param {string} key @param {string} back */
  close(key, back) {
    this.forms.delete(key);
    this.draw();
    const button = this.element.querySelector(`[data-keep="${CSS.escape(back)}"]`);
    if (button instanceof HTMLElement) button.focus({ preventScroll: true });
  }

  /** @param {string} text @param {Comment | null} head @param {string} key */
  async say(text, head, key) {
    const { type, id, field } = this.options;
    const about = head ? { about_type: type, about_id: id, about_field: head.about_field, thread: head.id } : { about_type: type, about_id: id, about_field: field ?? "" };
    await say(this.code, { ...about, text }, undefined, key);
    announce(head ? "Answered." : "Commented.");
    await this.read();
  }

  /**
   * @param {object} made
   * @param {string} made.key by which what is typed is kept until it is sent
   * @param {string} made.label
   * @param {string} made.button
   * @param {string} [made.text] what stands there
   * @param {(text: string, key: string) => Promise<void>} made.send
   * @param {() => void} [made.leave]
   */
  form({ key, label, button: word, text = "", send, leave }) {
    const { type, id, field = "" } = this.options;
    const kept = ["undercoat comment", this.options.visit.person?.username, this.code, type, id, field, key].join("|");
    const name = newId("comment");
    const problem = refusals();
    // One key for one text, so that a retry after a lost answer says nothing twice.
    let once = newKey();
    const { input, element } = mentionField({ id: name, "data-keep": `text ${key}`, "aria-describedby": `${name}-hint`, oninput: () => {
      once = newKey();
      sessionStorage.setItem(kept, input.value);
    } }, () => candidates(this.code, this.options.visit.signal));
    input.value = sessionStorage.getItem(kept) ?? text;
    const submit = h("button", { type: "submit", class: leave ? "quiet" : "" }, word);
    const gone = () => {
      sessionStorage.removeItem(kept);
      leave?.();
    };
    const form = h("form", { class: "talkform", novalidate: true, onsubmit: (/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      busy(submit, problem, async () => {
        await send(input.value, once);
        sessionStorage.removeItem(kept);
        if (!leave) input.value = "";
        once = newKey();
      });
    }, onkeydown: (/** @type {KeyboardEvent} */ event) => {
      if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) form.requestSubmit();
      else if (event.key === "Escape" && leave) gone();
      else return;
      event.preventDefault();
      event.stopPropagation();
    } }, h("label", { for: name }, label), element, h("p", { class: "hint", id: `${name}-hint` }, "@ calls a member by name. Ctrl+Enter sends."), problem.place,
      h("p", { class: "deeds" }, submit, " ", leave && button("Cancel", gone, { class: "quiet" })));
    return form;
  }
}
