/** The bench: one sample at a time, for the person at the microscope with one hand on the keyboard. */

import { coloursOfLab } from "../../api/bench.js";
import { wait } from "../../api/http.js";
import { coloursOf } from "../../api/sheets.js";
import { Swatches } from "../../grid/swatches.js";
import { path } from "../../lib/paths.js";
import { Bench } from "../../model/bench/desk.js";
import { DIGITS, ENTERED } from "../../model/bench/fields.js";
import { day, lacks, lacksTold, progress } from "../../model/bench/lacks.js";
import { mayWrite } from "../../model/roles.js";
import { alsoTell } from "../help.js";
import { Talking } from "../parts/talking.js";
import { DESK_KEYS } from "../pictures/controls.js";
import { Face } from "./face.js";
import { TOLD, isTyping, meaning } from "./keys.js";
import { BenchLive } from "./live.js";
import { BenchPictures } from "./pictures.js";
import { openTalk } from "./talk.js";
import { teller } from "./telling.js";
import { Walk } from "./walk.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {import("../../model/bench/stack.js").Layer} Layer */
/** @typedef {import("./keys.js").Deed} Deed */
/** @typedef {import("./keys.js").Act} Act */

const ACTS = new Set(["above", "below", "split", "merge", "up", "down", "copy", "remove"]);
/** What was last entered in each field goes along from sample to sample. @type {Map<string, Map<string, string>>} */
const lastEntered = new Map();

export class BenchScreen {
  /**
   * @param {Visit} visit @param {Project} project @param {Record<string, readonly string[]>} words @param {Row} sample @param {Row} element
   * @param {import("../../api/bench.js").Neighbour[]} siblings
   */
  constructor(visit, project, words, sample, element, siblings) {
    this.visit = visit;
    this.project = project;
    this.sample = sample;
    this.siblings = siblings;
    this.at = { layer: "", field: "kind" };
    this.live = new BenchLive(project.code, visit.person?.username ?? "", visit.signal, { say: (text) => this.say(text), changed: () => this.drawSoon(), talked: () => void this.talking.read(), pictured: () => void this.pictures.read() });
    this.talking = new Talking(visit, project, ["layer", "sample"], () => this.drawSoon());
    this.bench = new Bench(words, this.live.ways(), mayWrite(project.role), { say: (text) => this.say(text), goTo: (id) => this.choose(id, !isTyping(document.activeElement)) });
    this.bench.last = lastEntered.get(project.code) ?? this.bench.last;
    lastEntered.set(project.code, this.bench.last);
    const known = () => this.drawSoon();
    this.swatches = new Swatches((notations) => coloursOf(notations, visit.signal), known);
    this.measured = new Swatches((triples) => coloursOfLab(triples, visit.signal), known);
    this.due = 0;
    /** @type {Map<string, string>} */
    this.renamed = new Map();
    this.tell = teller(this.bench);
    this.walk = new Walk({ visit, code: project.code, sample, siblings, say: (text) => this.say(text), mayLeave: () => this.pictures.mayLeave(), save: () => {
      this.face.commit();
      return this.live.send();
    } });
    this.first = "";
    this.pictures = new BenchPictures({ visit, project, sample, pointed: (id) => this.face.section.point(id), layer: () => this.at.layer, leave: () => this.face.section.focus(this.at.layer), told: () => this.told() });
    this.face = new Face({
      pictures: this.pictures, bench: this.bench, code: project.code, signal: this.visit.signal, sample, element, writes: this.bench.writes, swatches: this.swatches,
      written: () => this.live.sendSoon(), here: (of, name) => this.here(of, name), layer: () => this.at.layer, chosen: (id) => this.choose(id, true),
      entered: (id) => this.enter(id), colour: (layer) => this.colour(layer), deed: (deed) => this.deed(deed), go: (number) => void this.walk.toSample(number),
      talk: (id, name) => (name === undefined ? this.talking.marks.on(id) : this.talking.marks.at(id, name)),
    });
  }

  get id() {
    return this.sample.id;
  }

  /** @returns {Layer[]} */
  get stack() {
    return this.bench.stack(this.id);
  }

  async load() {
    await this.live.load(this.bench, this.id, this.project.cursor ?? 0);
    const { query } = this.visit;
    const stack = this.stack;
    const asked = stack[Number(query.get("layer") ?? 0) - 1];
    this.at.layer = (asked ?? stack.at(-1))?.id ?? "";
    const field = query.get("field") ?? "";
    if (ENTERED.some((one) => one.name === field)) this.at.field = field;
    this.face.bind(this.id, this.at.layer);
    this.draw();
    // An address that names a field leads into it.
    this.first = asked && field === this.at.field ? field : "";
  }

  async begin() {
    const { visit, live, face } = this;
    const { signal } = visit;
    for (const sheet of [this.bench.layers, this.bench.samples]) {
      sheet.listen((told) => {
        for (const [before, now] of told.renamed) this.rename(before, now);
        this.drawSoon();
      });
    }
    signal.addEventListener("abort", () => this.end());
    addEventListener("pagehide", () => this.keep(), { signal });
    document.addEventListener("visibilitychange", () => document.hidden && this.keep(), { signal });
    addEventListener("online", () => void live.send(), { signal });
    document.addEventListener("keydown", (event) => this.pressed(event), { signal });
    alsoTell("Keys of the bench", [...TOLD, ...DESK_KEYS.map(([key, text]) => /** @type {const} */ ([`in a picture: ${key}`, text]))], signal);
    void this.talking.read();
    void this.pictures.read(visit.query.get("picture") ?? undefined);
    while (!face.element.isConnected) await wait(10, signal);
    const free = document.activeElement === document.body || document.activeElement instanceof HTMLHeadingElement;
    if (free && this.first) face.layerField(this.first)?.focus();
    else if (free) face.section.focus(this.at.layer);
    await live.follow();
  }

  /** @param {string} before @param {string} now */
  rename(before, now) {
    this.renamed.set(before, now);
    if (this.at.layer !== before) return;
    this.at.layer = now;
    this.face.rename(now);
  }

  drawSoon() {
    this.due ||= requestAnimationFrame(() => this.draw());
  }

  draw() {
    this.due = 0;
    const { bench, face } = this;
    const stack = this.stack;
    if (!stack.some((one) => one.id === this.at.layer)) {
      this.at.layer = stack.at(-1)?.id ?? "";
      face.bind(this.id, this.at.layer);
    }
    const texts = bench.texts(this.id);
    const siblings = this.siblings.map((one) => (one.id === this.id ? { ...one, status: texts["status"] ?? "", examined_visible_on: texts["examined_visible_on"] || null } : one));
    const counts = bench.counts();
    face.draw({ stack, current: this.at.layer, texts, lacks: lacks(this.id, texts, stack), progress: progress(siblings), counts, waiting: this.live.waiting }, this.renamed);
    this.renamed = new Map();
    this.tell(counts);
    this.visit.unsaved(counts.unsaved > 0 || this.pictures.sending);
  }

  /** @param {string} text */
  say(text) { this.face.say(text); }

  /** @param {Layer} layer */
  colour(layer) {
    const { lab_l: l, lab_a: a, lab_b: b, munsell } = layer.texts;
    const measured = l && a && b ? this.measured.of(`${l} ${a} ${b}`) : null;
    return measured?.srgb ? measured : this.swatches.of(munsell ?? "");
  }

  /** The address says where one is; a field only while one is in it. */
  told() {
    const position = this.stack.findIndex((one) => one.id === this.at.layer) + 1;
    const query = new URLSearchParams({ ...(position > 0 ? { layer: String(position) } : {}), ...(this.face.inLayerField() ? { field: this.at.field } : {}), ...this.pictures.address() });
    history.replaceState(null, "", `${path("projects", this.project.code, "bench", String(this.sample["number"]))}?${query}`);
  }

  /** @param {string} id @param {boolean} focus */
  choose(id, focus) {
    this.at.layer = id;
    this.face.bind(this.id, id);
    this.draw();
    if (focus) this.face.section.focus(id);
    this.pictures.light(id);
    this.told();
  }

  /** @param {string} id */
  enter(id) {
    this.choose(id, false);
    this.face.layerField(this.at.field)?.focus();
  }

  /** @param {import("../../model/bench/desk.js").Of} of @param {string} name */
  here(of, name) {
    if (of === "layer") this.at.field = name;
    this.told();
  }

  /** @param {KeyboardEvent} event */
  pressed(event) {
    if (document.querySelector("dialog[open]") || event.defaultPrevented) return;
    // What one does in the drawer is no work on the layers.
    if (event.target instanceof Element && event.target.closest(".sidedrawer, .benchpictures")) return;
    if (isTyping(event.target)) {
      this.face.pressedInField(event);
      return;
    }
    const meant = meaning(event);
    if (!meant) return;
    event.preventDefault();
    if (meant.startsWith("field:")) this.toField(DIGITS[meant.slice(6)] ?? "kind");
    else if (meant === "above-it" || meant === "beneath-it") this.step(meant === "above-it" ? 1 : -1);
    else if (meant === "surface" || meant === "lowest") this.choose(this.stack.at(meant === "surface" ? -1 : 0)?.id ?? "", true);
    else this.deed(/** @type {Deed} */ (meant));
  }

  /** @param {string} field */
  toField(field) {
    if (this.at.layer === "") this.say("There is no layer yet. A adds the first.");
    else this.face.layerField(field)?.focus();
  }

  /** @param {1 | -1} by towards the surface or the substrate */
  step(by) {
    const stack = this.stack;
    const next = stack[stack.findIndex((one) => one.id === this.at.layer) + by];
    if (next) this.choose(next.id, true);
  }

  /** @param {Deed} deed */
  deed(deed) {
    if (ACTS.has(deed)) this.act(/** @type {Act} */ (deed));
    else if (deed === "undo" || deed === "redo") this.back(deed);
    else if (deed === "next" || deed === "previous") void this.walk.toNeighbour(deed === "next" ? 1 : -1);
    else if (deed === "go") this.face.number.focus();
    else if (deed === "visible" || deed === "uv") this.examined(deed);
    else if (deed === "repeat") this.repeat();
    else if (deed === "talk") openTalk(this.talking, this.face, { bench: this.bench, sample: this.sample, layer: this.at.layer, position: this.stack.findIndex((one) => one.id === this.at.layer) + 1, say: (text) => this.say(text) });
    else if (deed === "pictures") this.pictures.turnOver();
    else if (deed === "field") this.toField(this.at.field);
    else if (deed === "sample") this.face.sampleField("base_state")?.focus();
    else if (deed === "lacks") {
      this.say(lacksTold(lacks(this.id, this.bench.texts(this.id), this.stack)));
      this.face.lacking.focus();
    }
  }

  /** @param {Act} act */
  act(act) {
    this.face.commit();
    const done = this.bench.act(this.id, act, this.at.layer);
    this.say(done.said);
    if (done.refused) return;
    this.live.sendSoon(0);
    const made = act === "above" || act === "below";
    this.choose(done.focus, !made);
    // A new layer is nothing without its kind.
    if (made) this.face.layerField("kind")?.focus();
  }

  /** @param {"undo" | "redo"} way */
  back(way) {
    this.face.commit();
    const found = this.bench[way]();
    if (!found) {
      this.say(way === "undo" ? "There is nothing to undo." : "There is nothing to do again.");
      return;
    }
    const left = found.left > 0 ? " What somebody else changed since stays as it is." : "";
    this.say(`${way === "undo" ? "Undone" : "Done again"}: ${found.label}.${left}`);
    this.live.sendSoon(0);
    const there = found.entry.at[way === "undo" ? "before" : "after"];
    const known = this.bench.orders.get(this.id)?.includes(there);
    this.choose(known ? there : this.at.layer, !isTyping(document.activeElement));
  }

  repeat() {
    const label = this.bench.layers.column(this.at.field).label;
    if (this.at.layer === "" || !this.bench.writes) return;
    this.face.commit();
    const text = this.bench.repeat(this.id, this.at.layer, this.at.field);
    this.say(text === "" ? `No ${label.toLowerCase()} was entered yet.` : `${label}: ${text}`);
    this.live.sendSoon();
  }

  /** @param {"visible" | "uv"} light */
  examined(light) {
    const who = this.visit.person?.name || this.visit.person?.username || "";
    if (!this.bench.writes) return;
    this.bench.examined(this.id, light, day(new Date()), who);
    this.say(`Examined ${light === "uv" ? "under UV" : "in visible light"} today by ${who}.`);
    this.live.sendSoon(0);
  }

  keep() {
    this.face.commit();
    this.live.keep();
  }

  end() {
    cancelAnimationFrame(this.due);
    this.keep();
    this.live.stop();
    this.swatches.forget();
    this.measured.forget();
  }
}
