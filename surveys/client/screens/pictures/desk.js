/** The pictures of a sample to be looked at: one, two changed by a key, two parted by a line, or two side by side; with the lines drawn on them. */

import { isStop } from "../../api/http.js";
import { tilesOf } from "../../api/pictures.js";
import { inverse, moved } from "../../lib/plane.js";
import { MODES, followed, mayLook, nextMode, sameView, stateTold } from "../../model/pictures/looking.js";
import { alongTold, onLine, seenOn } from "../../model/pictures/lines.js";
import { called, companion, inOrder, isShown, placeTold } from "../../model/pictures/pictures.js";
import { between, joining } from "../../model/pictures/placement.js";
import { h, refill } from "../parts/dom.js";
import { announce, refusals } from "../parts/say.js";
import { arrange } from "./arranged.js";
import { deskControls } from "./controls.js";
import { divider } from "./divider.js";
import { drawnLine } from "./drawn.js";
import { engine } from "./engine.js";
import { Hands } from "./twin.js";
import { Viewer } from "./viewer.js";

/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {import("../../model/pictures/types.js").Attachment} Attachment */
/** @typedef {import("../../model/pictures/types.js").Registration} Registration */
/** @typedef {import("../../model/pictures/types.js").Tiles} Tiles */
/** @typedef {import("../../model/pictures/types.js").Traverse} Traverse */
/** @typedef {import("./overlay.js").Shape} Shape */
/** @typedef {import("../../model/pictures/looking.js").Mode} Mode */
/** @typedef {ReturnType<typeof onLine>} Found */
/** @typedef {import("./tool.js").Host} Host */

export class PictureDesk {
  /** @param {Host} host */
  constructor(host) {
    this.host = host;
    /** @type {Attachment[]} */
    this.pictures = [];
    /** @type {Registration[]} */
    this.registrations = [];
    /** @type {Traverse[]} */
    this.lines = [];
    this.shown = this.paired = "";
    /** @type {Mode} */
    this.mode = "one";
    this.over = this.hidden = false;
    this.parted = 0.5;
    /** @type {{ line: string, index: number } | null} */
    this.lit = null;
    /** The line whose drawing somebody else does just now. */
    this.without = "";
    /** @type {Map<string, Promise<Tiles>>} */
    this.tiles = new Map();
    /** @type {Viewer[]} the picture, and the one beside it */
    this.viewers = [];
    this.active = 0;
    this.hands = new Hands();
    /** @type {{ side: number, point: Point } | null} */
    this.pointer = null;
    /** @type {import("../../model/pictures/placement.js").Placement | null} */
    this.placed = null;
    this.opening = 0;
    this.problem = refusals();
    this.readout = h("p", { class: "readout" });
    this.state = h("p", { class: "deskstate" });
    this.divider = divider((share) => this.part(share));
    this.place = h("div", { class: "deskplace" });
    this.controls = deskControls(this);
    this.element = h("div", { class: "desk" }, this.controls.element, this.problem.place, this.place, this.readout, this.state);
    host.signal.addEventListener("abort", () => this.end());
  }

  get picture() {
    return this.pictures.find((one) => one.id === this.shown) ?? null;
  }

  get other() {
    const named = this.pictures.find((one) => one.id === this.paired && one.id !== this.shown && isShown(one));
    return named ?? (this.picture ? companion(this.pictures, this.picture, this.registrations) : null);
  }

  /** From px of the other picture to px of the one shown; null where they are not registered. */
  get matrix() {
    const { picture, other } = this;
    return picture && other ? between(this.registrations, other.id, picture.id) : null;
  }

  /** @param {{ pictures: Attachment[], registrations: Registration[], lines: Traverse[] }} found @param {string} [wanted] */
  async show(found, wanted = this.shown) {
    Object.assign(this, { ...found, pictures: inOrder(found.pictures) });
    const fit = this.pictures.filter(isShown);
    this.shown = (fit.find((one) => one.id === wanted) ?? fit[0])?.id ?? "";
    await this.open();
  }

  async open() {
    const { picture, other } = this;
    if (!mayLook(this.mode, other !== null, this.matrix !== null)) this.mode = other ? "beside" : "one";
    const { mode } = this;
    this.controls.draw();
    this.element.classList.toggle("bare", !picture);
    if (!picture) {
      refill(this.place);
      return;
    }
    this.opening += 1;
    const turn = this.opening;
    try {
      this.problem.clear();
      const library = await engine();
      const [own, others] = await Promise.all([this.source(picture), other && mode !== "one" ? this.source(other) : null]);
      if (turn !== this.opening || this.host.signal.aborted) return;
      this.setUp(library, mode === "beside" && others ? 2 : 1);
      const laid = mode === "blink" || mode === "split" ? others : null;
      const placed = (await this.viewers[0]?.open(own, laid, this.matrix)) ?? null;
      if (others && mode === "beside") await this.viewers[1]?.open(others, null, null);
      if (turn !== this.opening || this.host.signal.aborted) return;
      this.placed = placed;
      this.hands.give(this.viewers, this.matrix);
      this.tell();
      this.reveal();
      this.follow(0);
    } catch (error) {
      if (!isStop(error)) this.problem.show(error);
    }
  }

  /** A picture's tiles, by their address: made anew they have another. @param {Attachment} one */
  async source(one) {
    const key = one.pictures?.tiles ?? one.id;
    const known = this.tiles.get(key) ?? tilesOf(this.host.code, one.id, this.host.signal);
    this.tiles.set(key, known);
    known.catch(() => this.tiles.delete(key));
    return { id: one.id, tiles: await known };
  }

  /** @param {import("./engine.js").Engine} library @param {number} many */
  setUp(library, many) {
    while (this.viewers.length > many) this.viewers.pop()?.end();
    while (this.viewers.length < many) {
      const side = this.viewers.length;
      const made = new Viewer(library, {
        shapes: () => this.shapes(side), pointed: (point) => this.pointed(side, point), key: (event) => this.key(event), looked: () => this.looked(side),
      });
      made.frame.addEventListener("focus", () => { this.active = side; });
      made.frame.addEventListener("pointerenter", () => { this.active = side; });
      this.viewers.push(made);
    }
    arrange(this.place, [...this.viewers.map((one) => one.frame), ...(this.mode === "split" ? [this.divider.element] : [])]);
    this.place.classList.toggle("two", many === 2);
    this.active = Math.min(this.active, many - 1);
    if (many === 1 && this.pointer?.side === 1) this.pointer = null;
    for (const one of this.viewers) one.reframe();
  }

  tell() {
    const { picture, other, mode, matrix } = this;
    if (!picture) return;
    const pair = other && joining(this.registrations, picture.id, other.id);
    const name = (/** @type {Attachment} */ one) => `${called(one)}${one.caption ? `: ${one.caption}` : ""}`;
    const [first, second] = this.viewers;
    first?.frame.setAttribute("aria-label", other && mode !== "one" && mode !== "beside" ? `${name(picture)}, with ${name(other)}` : name(picture));
    if (other) second?.frame.setAttribute("aria-label", name(other));
    refill(this.state, stateTold(picture, other, mode, pair, matrix ? this.placed : null));
  }

  /** @param {string} id */
  choose(id) {
    if (id === this.shown || this.host.mayChoose?.() === false) return;
    this.shown = id;
    this.over = false;
    this.host.chose(id);
    void this.open();
  }

  /** @param {Mode} mode */
  look(mode) {
    if (!mayLook(mode, this.other !== null, this.matrix !== null)) return;
    this.mode = mode;
    this.over = false;
    this.host.looks?.(mode);
    announce(MODES.find(([name]) => name === mode)?.[1] ?? "");
    void this.open();
  }

  /** Which other picture is looked at with it. @param {string} id */
  pair(id) {
    this.paired = id;
    void this.open();
  }

  blink() {
    const { other, picture } = this;
    if (!other || !picture) return;
    if (this.mode !== "blink") {
      if (this.matrix) this.look("blink");
      return;
    }
    this.over = !this.over;
    announce(called(this.over ? other : picture));
    this.reveal();
    this.controls.draw();
  }

  /** @param {number} share */
  part(share) {
    this.parted = Math.min(0.98, Math.max(0.02, share));
    this.divider.put(this.parted);
    this.reveal();
  }

  reveal() {
    if (this.mode === "split") this.divider.put(this.parted);
    this.viewers[0]?.reveal(this.mode === "split" ? this.parted : this.mode === "blink" && !this.over ? "none" : "all");
  }

  /** @param {number} side */
  looked(side) {
    if (this.mode === "split" && side === 0) this.viewers[0]?.reveal(this.parted);
    if (side === this.active) this.follow(side);
  }

  /** The one beside it shows the same place, where the two are registered. @param {number} side */
  follow(side) {
    const { matrix } = this;
    const [first, second] = this.viewers;
    if (!first || !second?.source || !matrix) return;
    const [from, to] = side === 0 ? [first, second] : [second, first];
    const view = followed(matrix, side === 0 ? 0 : 1, from);
    if (view && !sameView(to, view)) to.lookAt(view.centre, view.zoom, view.turn);
  }

  /** @param {KeyboardEvent} event */
  key({ key }) {
    const lower = key.toLowerCase();
    if (lower === "o") this.blink();
    else if (lower === "w") this.look(nextMode(this.mode, this.other !== null, this.matrix !== null));
    else if (lower === "h") this.hide(!this.hidden);
    else if ((key === "," || key === ".") && this.mode === "split") this.part(this.parted + (key === "." ? 0.02 : -0.02));
    else return false;
    return true;
  }

  /** @param {boolean} hidden */
  hide(hidden) {
    this.hidden = hidden;
    announce(hidden ? "What is drawn is hidden." : "What is drawn is shown.");
    this.controls.draw();
    this.redraw();
  }

  /** @param {number} side @param {Point | null} point */
  pointed(side, point) {
    this.pointer = point && { side, point };
    const { matrix, picture } = this;
    const own = side === 0 || !point ? point : matrix && moved(matrix, point);
    const found = own && picture ? onLine(this.seen(), own, 6 / (this.viewers[0]?.zoom ?? 1)) : null;
    const scale = picture?.um_per_pixel ?? null;
    const told = !point ? "" : own ? [placeTold(own, scale), found && alongTold(found, scale)].filter(Boolean).join(" · ") : placeTold(point, this.other?.um_per_pixel ?? null);
    if (this.readout.textContent !== told) this.readout.textContent = told;
    this.host.pointed(found);
    if (this.viewers.length > 1) this.redraw();
  }

  /** The lines on the picture shown. @param {string} [without] */
  seen(without = "") {
    return seenOn(this.lines.filter((one) => one.id !== without), this.registrations, this.shown);
  }

  /** What is drawn on one of the two: the lines, and where the pointer is on the other. @param {number} side @returns {Shape[]} */
  shapes(side) {
    const { pointer, matrix, hidden, registrations, other, without } = this;
    const back = matrix && inverse(matrix);
    /** @type {Shape[]} */
    const linked = pointer && pointer.side !== side && matrix && back ? [{ kind: "cross", points: [moved(side === 1 ? back : matrix, pointer.point)] }] : [];
    if (hidden) return linked;
    const lines = side === 0 ? this.seen(without) : other ? seenOn(this.lines.filter((one) => one.id !== without), registrations, other.id) : [];
    return [...lines.flatMap((one) => drawnLine(one, this.lit?.line === one.id ? this.lit.index : 0)), ...linked];
  }

  /** @param {{ line: string, index: number } | null} lit */
  light(lit) {
    if (lit?.line === this.lit?.line && lit?.index === this.lit?.index) return;
    this.lit = lit;
    this.redraw();
  }

  /** @param {import("./tool.js").Tool | null} tool @param {0 | 1} [side] */
  take(tool, side = 0) {
    this.hands.take(tool, side);
    this.hands.give(this.viewers, this.matrix);
  }

  redraw() {
    for (const one of this.viewers) one.drawSoon();
  }

  end() {
    for (const one of this.viewers) one.end();
    this.viewers = [];
  }
}
