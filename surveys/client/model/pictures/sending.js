/** A large file on its way, part by part: paused, gone on with after a lost connection or a reload, refused in words. */

import { afterFailure } from "../../lib/waits.js";
import { size } from "../../lib/words.js";
import { Lost, Problem, sentence } from "../problems.js";

/** @typedef {import("./types.js").SendingRow} SendingRow */
/** @typedef {{ name: string, size: number, lastModified: number }} FileLike */
/** @typedef {"waits" | "reads" | "sends" | "paused" | "lost" | "checks" | "done" | "refused" | "given up"} State */
/** @typedef {{ id: string, at: number }} Kept */

/**
 * @typedef {object} Ways how it reaches the service, and what remembers it over a reload
 * @property {() => Promise<string>} digest SHA-256 of the file in hexadecimal; blank where the browser cannot tell
 * @property {(values: { name: string, size: number, sha256?: string }) => Promise<SendingRow>} begin
 * @property {(id: string) => Promise<SendingRow>} ask
 * @property {(id: string, start: number, end: number) => Promise<SendingRow>} part send the bytes from start up to end
 * @property {(id: string) => Promise<SendingRow>} finish
 * @property {(id: string) => Promise<unknown>} end
 * @property {(milliseconds: number) => Promise<void>} sleep
 * @property {{ get: (key: string) => string, put: (key: string, id: string) => void, drop: (key: string) => void }} memory
 */

const DAYS = 7 * 24 * 60 * 60 * 1000;

/** By what a file is known again. @param {FileLike} file @param {string} sha256 */
export function keyOf(file, sha256) {
  return [file.name, file.size, sha256 || `of ${file.lastModified}`].join("|");
}

/** What is remembered, without what the service has tidied away. @param {Record<string, Kept>} kept @param {number} now */
export function fresh(kept, now) {
  return Object.fromEntries(Object.entries(kept).filter(([, one]) => now - one.at < DAYS));
}

export class Sending {
  /** @param {FileLike} file @param {Ways} ways @param {() => void} told called whenever something changed */
  constructor(file, ways, told) {
    this.file = file;
    this.ways = ways;
    this.tell = told;
    /** @type {State} */
    this.state = "waits";
    this.received = 0;
    this.id = "";
    this.key = "";
    this.sha256 = "";
    this.reason = "";
    this.resumed = false;
    /** @type {SendingRow["upload"]} */
    this.upload = null;
    this.running = false;
  }

  /** @param {State} state @param {string} [reason] */
  now(state, reason = "") {
    this.state = state;
    this.reason = reason;
    this.tell();
  }

  get share() {
    return this.file.size > 0 ? this.received / this.file.size : 0;
  }

  get isOpen() {
    return this.state !== "done" && this.state !== "given up";
  }

  /** Whether something would be cut short by going elsewhere. */
  get isUnderWay() {
    return this.isOpen && this.state !== "refused";
  }

  pause() {
    if (this.state === "sends" || this.state === "lost" || this.state === "reads") this.now("paused");
  }

  /** Whether it was told to stop meanwhile. */
  get stopped() {
    return this.state === "paused" || this.state === "given up";
  }

  async giveUp() {
    const { id } = this;
    this.now("given up");
    if (this.key) this.ways.memory.drop(this.key);
    if (id) await this.ways.end(id).catch(() => {});
  }

  /** Go on until it is whole, paused or refused. @returns {Promise<void>} */
  async run() {
    // Told to go on while its last part is still on its way: that one goes on by itself.
    if (this.running) {
      if (this.state === "paused") this.now("sends");
      return;
    }
    this.running = true;
    try {
      await this.go();
    } catch (error) {
      // Whoever went elsewhere is told nothing of it.
      if (!this.stopped && !left(error)) this.now("refused", sentence(error));
      if (!(error instanceof Problem)) throw error;
    } finally {
      this.running = false;
    }
  }

  async go() {
    this.now(this.key === "" ? "reads" : "sends");
    if (this.key === "") {
      this.sha256 = await this.ways.digest();
      this.key = keyOf(this.file, this.sha256);
    }
    if (this.stopped) return;
    this.now("sends");
    const row = await this.steady(() => this.known());
    if (!row) return;
    await this.parts(row);
    if (this.stopped) return;
    this.now("checks");
    const whole = await this.steady(() => this.ways.finish(this.id));
    if (!whole) return;
    this.upload = whole.upload;
    this.ways.memory.drop(this.key);
    this.now("done");
  }

  /** The sending that was begun, here or before a reload; else a new one. @returns {Promise<SendingRow>} */
  async known() {
    const before = this.id || this.ways.memory.get(this.key);
    const found = before ? await this.ways.ask(before).catch((error) => {
      if (error instanceof Problem && error.status === 404) return null;
      throw error;
    }) : null;
    const row = found ?? (await this.ways.begin({ name: this.file.name, size: this.file.size, ...(this.sha256 ? { sha256: this.sha256 } : {}) }));
    this.resumed = found !== null && found.received > 0;
    this.id = row.id;
    this.received = row.received;
    this.ways.memory.put(this.key, row.id);
    return row;
  }

  /** @param {SendingRow} row */
  async parts(row) {
    while (this.received < this.file.size && !this.stopped) {
      const start = this.received;
      const next = await this.steady(async () => {
        try {
          return await this.ways.part(this.id, start, Math.min(start + row.part_size, this.file.size));
        } catch (error) {
          // Another window sent it, or an answer was lost on its way: the service says where to go on.
          if (error instanceof Problem && error.status === 409) return this.ways.ask(this.id);
          throw error;
        }
      });
      if (!next) return;
      this.received = next.received;
      this.tell();
    }
  }

  /** Do it, again and again while the connection is lost. @template T @param {() => Promise<T>} deed @returns {Promise<T | null>} null once it was stopped */
  async steady(deed) {
    for (let failures = 0; ; failures += 1) {
      if (this.stopped) return null;
      try {
        const found = await deed();
        if (this.state === "lost") this.now("sends");
        return found;
      } catch (error) {
        if (!(error instanceof Lost)) throw error;
        if (!this.stopped) this.now("lost");
        await this.ways.sleep(afterFailure(failures));
      }
    }
  }
}

/** @param {unknown} error */
function left(error) {
  return error instanceof Error && error.name === "AbortError";
}

/** How far it is, in words. @param {Pick<Sending, "state" | "received" | "file" | "reason" | "resumed" | "share">} one */
export function told(one) {
  const far = `${size(one.received)} of ${size(one.file.size)}, ${Math.floor(100 * one.share)} %`;
  if (one.state === "waits") return "Waiting for those before it.";
  if (one.state === "reads") return "Reading the file, so that it is known again …";
  if (one.state === "sends") return `${one.resumed ? "Going on where it was left" : "Sending"}: ${far}.`;
  if (one.state === "paused") return `Paused: ${far}.`;
  if (one.state === "lost") return `The connection is lost; it goes on by itself when it is back. ${far}.`;
  if (one.state === "checks") return "Sent. Comparing it with what was sent …";
  if (one.state === "refused") return one.reason || "Refused.";
  return one.state === "done" ? "Sent whole and unaltered." : "Given up.";
}
