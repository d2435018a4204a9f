/** A picture with its tools: what they share, which of them is in hand, and what others change meanwhile. */

import { isStop, wait } from "../../api/http.js";
import { attachment as readAttachment, picturesOfSample, registrations, traversesOfSample } from "../../api/pictures.js";
import { changes } from "../../api/records.js";
import { path, withQuery } from "../../lib/paths.js";
import { afterFailure } from "../../lib/waits.js";
import { newest } from "../../model/pictures/lines.js";
import { CAUTION, isMicrograph, isShown } from "../../model/pictures/pictures.js";
import { Problem } from "../../model/problems.js";
import { mayWrite } from "../../model/roles.js";
import { h, link, refill } from "../parts/dom.js";
import { refusals, reportUnexpected } from "../parts/say.js";
import { aboutPanel } from "./about.js";
import { colourPanel } from "./colour.js";
import { PictureDesk } from "./desk.js";
import { linesPanel } from "./lines.js";
import { registrationPanel } from "./registration.js";
import { scalePanel } from "./scale.js";
import { unready } from "./unready.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {import("../../model/pictures/types.js").Attachment} Attachment */
/** @typedef {import("../../model/pictures/types.js").Registration} Registration */
/** @typedef {import("../../model/pictures/types.js").Traverse} Traverse */

/**
 * @typedef {object} Panel
 * @property {HTMLElement} element
 * @property {() => void} begin take the picture in hand
 * @property {() => void} end
 * @property {() => void} refresh show what has changed
 * @property {(found: import("./desk.js").Found) => void} [pointed]
 * @property {() => boolean} [mayLeave] whether it may be left: asked where something would be gone
 */

/** @type {readonly (readonly [name: string, text: string, make: (work: PictureWork) => Panel, micrographs: boolean])[]} */
const TOOLS = [
  ["about", "About it", aboutPanel, false], ["scale", "Scale", scalePanel, true], ["colours", "Colours", colourPanel, true],
  ["registration", "Visible and UV", registrationPanel, true], ["lines", "Layers along a line", linesPanel, true],
];
const PAUSE = 1500;
const OURS = new Set(["attachment", "registration", "traverse", "measurement", "layer", "microscope"]);

export class PictureWork {
  /** @param {Visit} visit @param {Project} project @param {Row | null} sample @param {Attachment} first */
  constructor(visit, project, sample, first) {
    this.visit = visit;
    this.project = project;
    this.code = project.code;
    this.sample = sample;
    this.writes = mayWrite(project.role);
    this.first = first.id;
    this.last = first;
    /** @type {Attachment[]} */
    this.pictures = [first];
    /** @type {Registration[]} */
    this.registrations = [];
    /** @type {Traverse[]} */
    this.lines = [];
    this.cursor = project.cursor ?? 0;
    this.tool = visit.query.get("tool") ?? "about";
    /** @type {Panel | null} */
    this.panel = null;
    this.problem = refusals();
    this.desk = new PictureDesk({ code: this.code, signal: visit.signal, chose: () => this.chose(), mayChoose: () => this.panel?.mayLeave?.() ?? true, pointed: (found) => this.panel?.pointed?.(found) });
    this.waiting = h("div", { class: "box", hidden: true });
    this.waitingFor = "";
    this.tabs = h("nav", { class: "tooltabs", "aria-label": "Work on this picture" });
    this.place = h("div");
    this.element = h("div", null, this.problem.place, this.waiting, h("div", { class: "picturework" }, this.desk.element, h("section", { class: "toolpanel", "aria-label": "Tools" }, this.tabs, this.place)), h("p", { class: "hint caution" }, CAUTION));
    visit.signal.addEventListener("abort", () => this.panel?.end());
  }

  /** The picture that is shown. */
  get picture() {
    return this.desk.picture ?? this.pictures.find((one) => one.id === this.first) ?? this.pictures[0] ?? this.last;
  }

  /** First, and then as long as one is here. */
  async read() {
    await this.fetch();
    this.take(this.tool, true);
    this.follow().catch((error) => !isStop(error) && reportUnexpected(error));
  }

  async fetch() {
    const { code, sample, visit: { signal } } = this;
    if (sample) {
      const [pictures, lines] = await Promise.all([picturesOfSample(code, sample.id, signal), traversesOfSample(code, sample.id, signal)]);
      this.pictures = pictures;
      this.lines = newest(lines, this.lines);
    } else this.pictures = await readAttachment(code, this.first, signal).then((one) => [one], (error) => {
      if (error instanceof Problem && error.status === 404) return [];
      throw error;
    });
    const shown = this.pictures.filter(isShown);
    this.registrations = sample ? await registrations(code, shown.filter(isMicrograph).map((one) => one.id), signal) : [];
    this.tellWaiting();
    await this.desk.show({ pictures: this.pictures, registrations: this.registrations, lines: this.lines }, this.desk.shown || this.first);
    this.drawTabs();
  }

  /** Why the picture for which one came is not shown, if it is not. */
  tellWaiting() {
    const own = this.pictures.find((one) => one.id === this.first);
    const key = own ? JSON.stringify([own.prepared, own.refusal, own.troubles]) : "gone";
    if (key === this.waitingFor) return;
    this.waitingFor = key;
    this.waiting.hidden = own?.prepared === "ready";
    refill(this.waiting, own ? unready({ code: this.code, signal: this.visit.signal, writes: this.writes, changed: () => void this.changed() }, own)
      : h("p", { role: "status" }, "This picture was removed meanwhile. A coordinator can bring it back, under Removed."));
  }

  /** Read all anew and tell the tool in hand. */
  async changed() {
    const before = isShown(this.picture);
    await this.fetch();
    // What has become fit to be shown has its tools now.
    if (before !== isShown(this.picture)) this.take(this.visit.query.get("tool") ?? "about", true);
    else this.panel?.refresh();
  }

  get unfinished() {
    return this.pictures.some((one) => one.prepared === "waiting") || this.lines.some((one) => one.state === "waiting");
  }

  async follow() {
    for (let failures = 0; ;) {
      await wait(failures ? afterFailure(failures) : PAUSE, this.visit.signal);
      if (document.hidden) continue;
      try {
        const found = await changes(this.code, this.cursor, this.visit.signal, { limit: 1000 });
        if (this.unfinished || found.changes.some((one) => OURS.has(one.record_type))) await this.changed();
        this.cursor = found.cursor;
        if (failures) this.problem.clear();
        failures = 0;
      } catch (error) {
        // What the service refuses now it may answer soon: the page goes on being one of the present.
        if (!(error instanceof Problem)) throw error;
        if (failures === 0) this.problem.show(error);
        failures += 1;
      }
    }
  }

  /** Which tools fit what is shown. */
  get fitting() {
    // Of what cannot be shown there is only something to be said.
    if (!isShown(this.picture)) return TOOLS.slice(0, 1);
    const measured = this.sample !== null && isMicrograph(this.picture);
    return TOOLS.filter(([name, , , micrographs]) => !micrographs || measured || (name === "scale" && this.picture.kind === "photograph"));
  }

  drawTabs() {
    const within = this.tabs.contains(document.activeElement);
    refill(this.tabs, this.fitting.map(([name, text]) => {
      const made = link(this.address(name), text);
      if (name === this.tool) made.setAttribute("aria-current", "page");
      made.addEventListener("click", (event) => {
        if (event.ctrlKey || event.metaKey || event.shiftKey) return;
        event.preventDefault();
        if (this.panel?.mayLeave?.() ?? true) this.take(name);
      });
      return made;
    }));
    const current = this.tabs.querySelector("[aria-current]");
    if (within && current instanceof HTMLElement) current.focus();
  }

  /** @param {string} tool @param {Record<string, string>} [more] */
  address(tool, more = {}) {
    return withQuery(path("projects", this.code, "pictures", this.picture.id), { tool: tool === "about" ? "" : tool, ...more });
  }

  /** @param {string} wanted @param {boolean} [first] */
  take(wanted, first = false) {
    const made = this.fitting.find(([name]) => name === wanted) ?? this.fitting[0];
    if (!made) return;
    this.panel?.end();
    this.tool = made[0];
    this.panel = made[2](this);
    refill(this.place, this.panel.element);
    this.panel.begin();
    if (!first) history.replaceState(null, "", this.address(this.tool));
    this.drawTabs();
  }

  /** Another picture was chosen: the tool in hand goes on with it. */
  chose() {
    document.querySelector("h1")?.replaceChildren(`Picture ${this.picture.number}, ${this.picture.kind}`);
    this.take(this.tool);
  }
}
