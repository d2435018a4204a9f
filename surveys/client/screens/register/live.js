/** A register kept in step with the service: what is typed goes there, what others write comes from there, and nothing typed is lost between. */

import { isStop, newKey, wait } from "../../api/http.js";
import { all, changes, page } from "../../api/records.js";
import { names, rowsOf, sendBatch } from "../../api/sheets.js";
import { Problem, sentence } from "../../model/problems.js";
import { SHEETS } from "../../model/sheet/columns.js";
import { pack, unpack } from "../../model/sheet/keep.js";
import { news, showing } from "../../model/sheet/remote.js";
import { readNamesAnew } from "../../model/sheet/references.js";
import { Drawer } from "./drawer.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../../model/sheet/columns.js").SheetKind} SheetKind */
/** @typedef {import("../../model/sheet/outbox.js").Batch} Batch */
/** @typedef {import("../../model/sheet/outbox.js").Operation} Operation */
/** @typedef {import("../../model/types.js").Change} Change */

const POLL = 1200;
const RETRY = 4000;
const PAGE = 1000;
/** Beyond so many the register is read anew as a whole. */
const ANEW = 3000;
/** What is not shown but says when a shown name has changed. */
const PARENTS = { samples: ["space"], layers: ["element", "space"], rulings: ["space"] };

/**
 * @typedef {object} Listener
 * @property {(text: string) => void} say
 * @property {() => void} changed the state of what is typed changed
 * @property {(loaded: number, whole: number | null) => void} loading
 * @property {() => void} talked somebody commented
 * @property {() => void} renamed names of other records are known anew
 */

export class Live {
  /**
   * @param {string} code @param {SheetKind} kind @param {string} username @param {AbortSignal} signal @param {Listener} listener
   */
  constructor(code, kind, username, signal, listener) {
    this.code = code;
    this.kind = kind;
    this.signal = signal;
    this.listener = listener;
    this.drawer = new Drawer(["undercoat unsaved", username, code, kind.name]);
    /** @type {Desk | null} */
    this.desk = null;
    this.cursor = 0;
    /** @type {Batch | null} */
    this.underway = null;
    this.waiting = "";
    /** @type {Promise<void>} */
    this.turn = Promise.resolve();
    /** @type {Map<string, string>} in which act a record was removed */
    this.acts = new Map();
    /** @type {Map<string, string>} who wrote a record last */
    this.by = new Map();
    this.saver = 0;
    this.retrying = 0;
    // Until what lay in the drawer is taken out nothing may be put in its place.
    this.ready = false;
  }

  /** How the desk reaches the service. @returns {import("../../model/sheet/outbox.js").Ways} */
  ways() {
    return {
      send: (/** @type {Operation[]} */ operations, /** @type {string} */ key) => sendBatch(this.code, this.kind.name, operations, key),
      catchUp: () => this.catchUp(),
      newKey,
      underway: (batch) => {
        this.underway = batch;
        // What is on its way must be known after a reload at once: else it would be done twice.
        this.keep();
      },
    };
  }

  fields() {
    const shown = this.kind.columns.flatMap((one) => [one.name, one.shows ?? ""]);
    const parents = PARENTS[/** @type {keyof typeof PARENTS} */ (this.kind.name)] ?? [];
    return [...new Set(["id", "version", ...shown, ...parents])].filter((name) => name !== "" && name !== "generation_name").join(",");
  }

  /**
   * Read the register, the first page shown while the others come, and beside it the names that cells may name.
   * @param {Desk} desk @param {number} cursor @param {() => void} first
   */
  async load(desk, cursor, first) {
    this.desk = desk;
    this.cursor = cursor;
    desk.sheet.listen(() => this.keepSoon());
    await Promise.all([this.rename(), this.pages(desk, first)]);
    desk.arrange();
    this.takeOut();
  }

  /** @param {Desk} desk @param {() => void} first */
  async pages(desk, first) {
    let [loaded, next] = [0, /** @type {string | null} */ (null)];
    do {
      const found = await page(this.code, this.kind.name, { fields: this.fields(), page_size: PAGE, cursor: next, ...(next ? {} : { count: "true" }) }, this.signal);
      for (const row of found.results) desk.sheet.rows.set(row.id, row);
      loaded += found.results.length;
      if (next === null) {
        desk.arrange();
        first();
      }
      next = found.cursor;
      this.listener.loading(loaded, next === null ? null : (found.count ?? null));
    } while (next !== null);
  }

  /** What was typed when this register was last left. */
  takeOut() {
    const { desk } = this;
    if (!desk) return;
    for (const kept of this.drawer.takeOut()) {
      const { batch, lost, many } = unpack(desk.sheet, kept);
      if (batch) desk.outbox.unsure = batch;
      if (many > 0) this.listener.say("What you had typed and was not saved is here again.");
      this.sayLost(lost.map((one) => `${desk.sheet.columns.get(one.name)?.label ?? one.name}: ${one.text}`));
    }
    this.ready = true;
    this.keep();
    void this.send();
  }

  /** @param {string[]} lost */
  sayLost(lost) {
    if (lost.length > 0) this.listener.say(`Somebody removed records in which you had typed this: ${lost.slice(0, 20).join("; ")}.`);
  }

  async send() {
    const { desk } = this;
    clearTimeout(this.retrying);
    if (!desk) return;
    try {
      await desk.outbox.flush();
      this.waiting = "";
    } catch (error) {
      this.waiting = error instanceof Problem && error.status === 401 ? "Sign in to save what you typed." : `${sentence(error)} It is tried again.`;
      if (!this.signal.aborted) this.retrying = window.setTimeout(() => this.send(), RETRY);
    }
    this.keepSoon();
    this.listener.changed();
  }

  async follow() {
    for (;;) {
      await wait(POLL, this.signal);
      try {
        await this.catchUp();
      } catch (error) {
        if (isStop(error) || (error instanceof Problem && error.status === 401)) throw error;
      }
    }
  }

  /** Learn what others wrote, one after the other. */
  catchUp() {
    this.turn = this.turn.catch(() => {}).then(() => this.learn());
    return this.turn;
  }

  async learn() {
    for (let more = true; more;) {
      const found = await changes(this.code, this.cursor, this.signal, { limit: PAGE });
      if (found.changes.length > 0) await this.apply(found.changes);
      this.cursor = found.cursor;
      more = found.more;
    }
  }

  /** @param {Change[]} lines */
  async apply(lines) {
    const sheet = this.desk?.sheet;
    if (!sheet) return;
    if (lines.some((line) => line.record_type === "comment")) this.listener.talked();
    const found = news(lines, this.kind.type, (id) => sheet.rows.get(id)?.version ?? null);
    for (const [id, act] of found.acts) this.acts.set(id, act);
    for (const [id, who] of found.by) this.by.set(id, who);
    await this.rename(found.types);
    const others = new Set(lines.filter((line) => line.record_type !== this.kind.type).map((line) => line.record_id));
    const fields = [...this.kind.columns.filter((one) => one.type === "reference").map((one) => one.name), "space", "element"];
    const wanted = [...new Set([...found.changed, ...showing(sheet.rows.values(), others, fields)])].filter((id) => !id.startsWith("new:"));
    const rows = wanted.length > ANEW ? await all(this.code, this.kind.name, { fields: this.fields() }, this.signal) : await rowsOf(this.code, this.kind.name, wanted, this.fields(), this.signal);
    const gone = found.removed.filter((id) => sheet.rows.has(id));
    const there = new Set(rows.map((row) => row.id));
    gone.push(...found.changed.filter((id) => !there.has(id) && sheet.rows.has(id)));
    if (rows.length > 0) sheet.load(rows);
    this.sayLost(sheet.forget(gone).map((one) => one.text));
    this.listener.changed();
  }

  /** Names of the records that cells can name. @param {ReadonlySet<string>} [types] only where records of these were written */
  async rename(types) {
    const references = this.desk?.sheet.context.references;
    const refers = new Map(this.kind.columns.filter((one) => one.refers).map((one) => [one.refers ?? "", one.human ?? ""]));
    const due = [...refers].filter(([collection]) => !types || types.has(SHEETS.find((one) => one.name === collection)?.type ?? ""));
    await Promise.all(due.map(async ([collection, human]) => references?.set(collection, await names(this.code, collection, human, this.signal))));
    if (due.length === 0) return;
    if (this.desk && readNamesAnew(this.desk.sheet)) void this.send();
    this.listener.renamed();
  }

  keepSoon() {
    clearTimeout(this.saver);
    this.saver = window.setTimeout(() => this.keep(), 150);
  }

  keep() {
    if (!this.desk || !this.ready) return;
    const batch = this.underway ?? this.desk.outbox.unsure;
    if (!this.drawer.putIn(pack(this.desk.sheet, batch))) {
      this.listener.say("There is more unsaved here than this browser keeps over a reload. Leave this page open until it is saved.");
    }
  }

  stop() {
    clearTimeout(this.retrying);
    clearTimeout(this.saver);
    this.keep();
    this.drawer.leave();
  }
}
