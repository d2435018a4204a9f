/** The pictures of the sample beside its stack: what is pointed at in the one is marked in the other. */

import { isStop, wait } from "../../api/http.js";
import { picturesOfSample, microscopes, registrations, traversesOfSample } from "../../api/pictures.js";
import { path, withQuery } from "../../lib/paths.js";
import { count, list } from "../../lib/words.js";
import { shownBy } from "../../model/pictures/lines.js";
import { plateOf } from "../../model/pictures/looking.js";
import { CAUTION, called, isShown } from "../../model/pictures/pictures.js";
import { mayWrite } from "../../model/roles.js";
import { adding } from "../pictures/adding.js";
import { PictureDesk } from "../pictures/desk.js";
import { listed } from "../pictures/listed.js";
import { plateButton } from "../pictures/plate.js";
import { button, h, link, refill } from "../parts/dom.js";
import { refusals, reportUnexpected } from "../parts/say.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {import("../../model/pictures/types.js").Attachment} Attachment */

const KEPT = "undercoat bench pictures";
const PAUSE = 1500;

/**
 * @typedef {object} Host
 * @property {Visit} visit
 * @property {Project} project
 * @property {Row} sample
 * @property {(layer: string) => void} pointed the layer of the record that lies under the pointer, blank for none
 * @property {() => string} layer the layer that is chosen in the stack
 * @property {() => void} leave back to the stack
 * @property {() => void} told where one is has changed
 */

export class BenchPictures {
  /** @param {Host} host */
  constructor(host) {
    this.host = host;
    const { project, visit, sample } = host;
    /** @type {Attachment[]} */
    this.pictures = [];
    this.open = false;
    this.turn = 0;
    this.listedAs = "";
    /** Whether files are on their way. */
    this.sending = false;
    this.problem = refusals();
    this.desk = new PictureDesk({ code: project.code, signal: visit.signal, chose: () => this.chose(), pointed: (found) => host.pointed(found?.layer?.accepted ?? ""), looks: () => host.told() });
    this.none = h("p", { class: "empty" }, "No picture of this sample can be shown yet.");
    this.links = h("span");
    // It stays while other pictures are chosen: a plate may be on its way.
    this.work = h("div", { class: "buttons", hidden: true }, this.links, plateButton(visit, project.code, sample.id, () => plateOf(this.desk.picture, this.desk.other, this.desk.registrations)));
    this.list = h("div");
    this.all = h("details", null, h("summary", null, "All its pictures and documents"), this.list);
    this.adds = h("details", { hidden: !mayWrite(project.role) }, h("summary", null, "Add pictures of this sample"));
    this.element = h("section", { class: "benchpictures", hidden: true, "aria-label": `Pictures of sample ${sample["number"]}`, onkeydown: (/** @type {KeyboardEvent} */ event) => {
      if (event.key !== "Escape" || event.defaultPrevented || (event.target instanceof HTMLElement && event.target.matches("input, select, textarea"))) return;
      event.preventDefault();
      host.leave();
    } },
      this.problem.place, this.none, this.desk.element, this.work, this.adds, this.all, h("p", { class: "hint caution" }, CAUTION));
    this.toggle = button("", () => this.turnOver(), { class: "quiet", "aria-keyshortcuts": "i", "aria-expanded": "false" });
    this.name();
  }

  name() {
    refill(this.toggle, this.open ? "Hide pictures" : this.pictures.length ? `Show ${count(this.pictures.length, "picture")}` : "Pictures", " ", h("kbd", { "aria-hidden": "true" }, "I"));
    this.toggle.setAttribute("aria-expanded", String(this.open));
  }

  /** @param {boolean} [open] @param {boolean} [keep] whether it is remembered for the next sample */
  turnOver(open = !this.open, keep = true) {
    this.open = open;
    if (keep) localStorage.setItem(KEPT, open ? "open" : "closed");
    this.element.hidden = !open;
    this.element.parentElement?.classList.toggle("withpictures", open);
    this.name();
    if (open) void this.drawn();
    else this.host.leave();
  }

  /** Look what there is; at first, and whenever somebody changed something. @param {string} [wanted] */
  async read(wanted) {
    const { project: { code }, visit: { signal }, sample } = this.host;
    this.turn += 1;
    const mine = this.turn;
    try {
      for (;;) {
        const [pictures, lines] = await Promise.all([picturesOfSample(code, sample.id, signal), traversesOfSample(code, sample.id, signal)]);
        const joined = await registrations(code, pictures.filter(isShown).map((one) => one.id), signal);
        if (mine !== this.turn) return;
        await this.take({ pictures, registrations: joined, lines }, wanted);
        wanted = undefined;
        if (!pictures.some((one) => one.prepared === "waiting") && !lines.some((one) => one.state === "waiting")) return;
        await wait(PAUSE, signal);
      }
    } catch (error) {
      if (!isStop(error)) this.problem.show(error);
    }
  }

  /** @param {{ pictures: Attachment[], registrations: import("../../model/pictures/types.js").Registration[], lines: import("../../model/pictures/types.js").Traverse[] }} found @param {string} [wanted] */
  async take(found, wanted) {
    const first = this.listedAs === "";
    const now = JSON.stringify(found);
    if (now === this.listedAs) return;
    this.listedAs = now;
    this.pictures = found.pictures;
    this.found = found;
    this.name();
    const kept = localStorage.getItem(KEPT);
    if (first && !this.open && (wanted || (kept !== "closed" && found.pictures.length > 0))) this.turnOver(true, false);
    if (this.open) await this.drawn(wanted);
  }

  /** @param {string} [wanted] */
  async drawn(wanted) {
    const { project: { code, role } } = this.host;
    if (!this.found) return;
    const { found } = this;
    const kept = found.pictures.filter((one) => one.kind !== "document" && !isShown(one));
    const shown = found.pictures.some(isShown);
    this.none.hidden = shown && kept.length === 0;
    this.none.textContent = kept.length ? `${list(kept.map(called))}: not shown${shown ? "; why stands below, among all its pictures." : " yet, as stands below."}` : "There is no picture of this sample yet.";
    // What alone is there to be said of them is not folded away.
    this.all.open ||= !shown && kept.length > 0;
    refill(this.list, found.pictures.length ? listed({ code, signal: this.host.visit.signal, writes: mayWrite(role), changed: () => void this.read() }, found.pictures) : h("p", { class: "empty" }, "None yet."));
    if (this.adds.children.length === 1) void this.offerAdding().catch((error) => !isStop(error) && reportUnexpected(error));
    this.adds.open ||= found.pictures.length === 0;
    await this.desk.show(found, wanted);
    this.chose();
    this.light(this.host.layer());
  }

  mayLeave() {
    return !this.sending || confirm("Pictures are on their way. Leave them? They go on where they were left when they are chosen again.");
  }

  async offerAdding() {
    const { project: { code }, visit, sample } = this.host;
    const known = await microscopes(code, visit.signal);
    if (this.adds.children.length > 1) return;
    this.adds.append(adding({ code, username: visit.person?.username ?? "", signal: visit.signal, type: "sample", id: sample.id,
      kinds: ["visible micrograph", "UV micrograph", "photograph", "document"], microscopes: known, attached: (one) => void this.read(one.id), busy: (open) => {
        this.sending = open;
        visit.unsaved(open);
      } }).element);
  }

  /** The picture that is shown, and where it is worked on. */
  chose() {
    const { project: { code, role }, visit } = this.host;
    const id = this.desk.shown;
    const page = path("projects", code, "pictures", id);
    this.work.hidden = id === "";
    refill(this.links, link(withQuery(page, { tool: "lines" }), mayWrite(role) ? "Read its layers along a line" : "What was read along lines"), " · ",
      link(page, mayWrite(role) ? "Scale, colours, registration" : "About this picture"));
    if (id && !visit.signal.aborted) this.host.told();
  }

  /** Mark in the picture where a layer of the record was read. @param {string} layer */
  light(layer) {
    const found = layer === "" ? undefined : shownBy(this.desk.seen(), layer)[0];
    this.desk.light(found ? { line: found.line.id, index: found.layer.index } : null);
  }

  /** What the address says of it. @returns {Record<string, string>} */
  address() {
    return this.open && this.desk.shown ? { picture: this.desk.shown } : {};
  }
}
