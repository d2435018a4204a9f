/** The bench kept in step with the service: what is typed goes there, what others write comes from there, and nothing typed is lost between. */

import { sampleWithLayers } from "../../api/bench.js";
import { isStop, newKey, wait } from "../../api/http.js";
import { changes } from "../../api/records.js";
import { sendBatch } from "../../api/sheets.js";
import { pack, samplesOf, unpack } from "../../model/bench/keep.js";
import { Problem, sentence } from "../../model/problems.js";
import { Drawer } from "../register/drawer.js";

/** @typedef {import("../../model/bench/desk.js").Bench} Bench */
/** @typedef {import("../../model/sheet/outbox.js").Batch} Batch */
/** @typedef {import("../../model/sheet/outbox.js").Ways} Ways */

const POLL = 1200;
const RETRY = 4000;
const PAUSE = 350;
const TYPES = new Set(["sample", "layer", "ruling", "generation"]);
const PICTURES = new Set(["attachment", "registration", "traverse", "measurement"]);

export class BenchLive {
  /** @param {string} code @param {string} username @param {AbortSignal} signal @param {{ say: (text: string) => void, changed: () => void, talked: () => void, pictured: () => void }} listener */
  constructor(code, username, signal, listener) {
    this.code = code;
    this.signal = signal;
    this.listener = listener;
    this.drawer = new Drawer(["undercoat unsaved", username, code, "bench"]);
    /** @type {Bench | null} */
    this.bench = null;
    /** @type {{ layer: Batch | null, sample: Batch | null }} */
    this.underway = { layer: null, sample: null };
    this.cursor = 0;
    this.waiting = "";
    this.stopped = false;
    [this.sender, this.keeper, this.retrying] = [0, 0, 0];
  }

  /** How the bench reaches the service. @returns {{ layers: Ways, samples: Ways }} */
  ways() {
    const way = (/** @type {"layer" | "sample"} */ of, /** @type {string} */ collection) => ({
      send: (/** @type {import("../../model/sheet/outbox.js").Operation[]} */ operations, /** @type {string} */ key) => sendBatch(this.code, collection, operations, key),
      catchUp: () => this.readAnew(),
      newKey,
      // What is on its way must be known after a reload at once: else it would be done twice.
      underway: (/** @type {Batch | null} */ batch) => {
        this.underway[of] = batch;
        this.keep();
      },
    });
    return { layers: way("layer", "layers"), samples: way("sample", "samples") };
  }

  /** Load a sample, and put back over it what was typed when the bench was last left, there and in other samples. @param {Bench} bench @param {string} sample @param {number} cursor */
  async load(bench, sample, cursor) {
    this.bench = bench;
    this.cursor = cursor;
    const kept = this.drawer.takeOut();
    const wanted = new Set([sample, ...kept.flatMap(samplesOf)]);
    await Promise.all([...wanted].map((one) => this.read(one, one === sample)));
    let many = 0;
    for (const one of kept) {
      const found = unpack(bench, one);
      many += found.many;
      this.sayLost(found.lost.map((typed) => typed.text));
    }
    bench.layers.listen(() => this.keepSoon());
    bench.samples.listen(() => this.keepSoon());
    if (many > 0) this.listener.say("What you had entered and was not saved is here again.");
    if (kept.length > 0) void this.send();
  }

  /** @param {string} sample @param {boolean} shown */
  async read(sample, shown) {
    try {
      const [row, layers] = await sampleWithLayers(this.code, sample, this.signal);
      this.sayLost((this.bench?.load(row, layers) ?? []).map((one) => one.text));
    } catch (error) {
      if (shown || !(error instanceof Problem) || error.status !== 404) throw error;
    }
  }

  /** @param {string[]} lost */
  sayLost(lost) {
    if (lost.length > 0) this.listener.say(`Somebody removed what you had typed this into: ${lost.slice(0, 20).join("; ")}.`);
  }

  async readAnew() {
    for (const sample of this.bench?.orders.keys() ?? []) await this.read(sample, true);
    this.listener.changed();
  }

  get busy() {
    const boxes = this.bench ? Object.values(this.bench.outboxes) : [];
    return boxes.some((one) => one.busy || one.unsure !== null);
  }

  async follow() {
    for (;;) {
      await wait(POLL, this.signal);
      try {
        await this.learn();
      } catch (error) {
        if (isStop(error) || (error instanceof Problem && error.status === 401)) throw error;
        if (error instanceof Problem && error.status === 404) this.listener.say("Somebody removed this sample, or your part in the project has ended.");
      }
    }
  }

  /** What others wrote. While something of ours is on its way the service's word is not final, and is asked for again. */
  async learn() {
    const found = await changes(this.code, this.cursor, this.signal, { limit: 1000 });
    if (found.changes.some((one) => one.record_type === "comment")) this.listener.talked();
    if (found.changes.some((one) => PICTURES.has(one.record_type))) this.listener.pictured();
    if (found.changes.some((one) => TYPES.has(one.record_type))) {
      if (this.busy) return;
      await this.readAnew();
    }
    this.cursor = found.cursor;
  }

  /** @param {number} [pause] */
  sendSoon(pause = PAUSE) {
    clearTimeout(this.sender);
    this.sender = window.setTimeout(() => this.send(), pause);
    this.keepSoon();
    this.listener.changed();
  }

  async send() {
    clearTimeout(this.retrying);
    clearTimeout(this.sender);
    try {
      await this.bench?.flush();
      this.waiting = "";
    } catch (error) {
      if (isStop(error)) return;
      this.waiting = error instanceof Problem && error.status === 401 ? "Sign in to save what you entered." : `${sentence(error)} It is tried again.`;
      if (!this.signal.aborted) this.retrying = window.setTimeout(() => this.send(), RETRY);
    }
    this.keepSoon();
    this.listener.changed();
  }

  keepSoon() {
    clearTimeout(this.keeper);
    this.keeper = window.setTimeout(() => this.keep(), 150);
  }

  keep() {
    // Once one has gone on, the place in the drawer belongs to the next visit.
    if (!this.bench || this.stopped) return;
    const { layer, sample } = this.bench.outboxes;
    if (!this.drawer.putIn(pack(this.bench, { layer: this.underway.layer ?? layer.unsure, sample: this.underway.sample ?? sample.unsure }))) {
      this.listener.say("There is more unsaved here than this browser keeps over a reload. Leave this page open until it is saved.");
    }
  }

  stop() {
    for (const timer of [this.retrying, this.sender, this.keeper]) clearTimeout(timer);
    this.keep();
    this.stopped = true;
    this.drawer.leave();
  }
}
