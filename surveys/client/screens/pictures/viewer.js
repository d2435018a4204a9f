/** A picture of any size, zoomed and moved by mouse, finger and keyboard, with a second one laid over it and what is drawn on both. */

import { inverse, moved } from "../../lib/plane.js";
import { placement } from "../../model/pictures/placement.js";
import { h } from "../parts/dom.js";
import { LOOKING, tileSourceOf } from "./engine.js";
import { Overlay } from "./overlay.js";

/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {import("../../lib/plane.js").Matrix} Matrix */
/** @typedef {import("../../model/pictures/types.js").Tiles} Tiles */
/** @typedef {import("./overlay.js").Shape} Shape */
/** @typedef {import("./tool.js").Tool} Tool */
/** @typedef {import("openseadragon").TiledImage} TiledImage */
/** @typedef {{ id: string, tiles: Tiles }} Source */

/**
 * @typedef {object} Host
 * @property {() => Shape[]} shapes what is drawn whatever tool is in hand
 * @property {(point: Point | null) => void} pointed
 * @property {(event: KeyboardEvent) => boolean} key
 * @property {() => void} [looked] told when another part is in view
 */

const STEP = 60;
const CLOSE = 14;
const ZOOM = 1.5;

export class Viewer {
  /** @param {import("./engine.js").Engine} engine @param {Host} host */
  constructor(engine, host) {
    this.engine = engine;
    this.host = host;
    /** @type {Tool | null} */
    this.tool = null;
    /** @type {Source | null} */
    this.source = null;
    /** @type {TiledImage | null} */
    this.upper = null;
    /** @type {Matrix | null} */
    this.back = null;
    /** @type {Point} */
    this.cross = [0, 0];
    this.holding = false;
    this.due = 0;
    this.opened = "";
    this.revealed = "";
    this.ended = false;
    const place = h("div", { class: "pictureplace" });
    this.overlay = new Overlay((point) => this.toScreen(point));
    this.frame = h("div", { class: "picture", tabindex: 0, role: "application", "aria-roledescription": "picture",
      onkeydown: (/** @type {KeyboardEvent} */ event) => this.pressed(event), onpointermove: (/** @type {PointerEvent} */ event) => this.pointer(event),
      onpointerleave: () => host.pointed(null), onfocus: () => this.drawSoon(), onblur: () => this.drawSoon() }, place);
    this.frame.append(this.overlay.element);
    this.inner = engine({ element: place, animationTime: still() ? 0 : 0.4, ...LOOKING });
    this.sizes = new ResizeObserver(() => this.reframe());
    this.sizes.observe(this.frame);
    this.listen();
  }

  listen() {
    const { inner } = this;
    const at = (/** @type {{ position: { x: number, y: number } }} */ event) => this.toPicture([event.position.x, event.position.y]);
    for (const name of /** @type {const} */ (["update-viewport", "open"])) inner.addHandler(name, () => this.drawSoon());
    inner.addHandler("canvas-press", (event) => {
      this.frame.focus({ preventScroll: true });
      this.holding = this.tool?.taken(at(event), CLOSE / this.zoom) ?? false;
      this.drawSoon();
    });
    inner.addHandler("canvas-drag", (event) => {
      if (!this.holding) return;
      event.preventDefaultAction = true;
      this.tool?.dragged(at(event));
      this.drawSoon();
    });
    inner.addHandler("canvas-drag-end", () => this.drop());
    inner.addHandler("canvas-click", (event) => {
      const held = this.holding;
      this.drop();
      if (!event.quick || !this.tool || held) return;
      this.cross = at(event);
      this.tool.clicked(this.cross);
      this.drawSoon();
    });
  }

  drop() {
    if (this.holding) this.tool?.dropped();
    this.holding = false;
    this.drawSoon();
  }

  /** Show a picture, and another laid over it by a map from its px to this one's. @param {Source} source @param {Source | null} upper @param {Matrix | null} matrix */
  async open(source, upper, matrix) {
    const placed = upper && matrix ? placement(matrix, upper.tiles, source.tiles) : null;
    const key = JSON.stringify([source.id, source.tiles.version, placed && [upper?.id, upper?.tiles.version, placed]]);
    // What is shown already stays as it is: drawn anew it would flicker.
    if (key === this.opened) return placed;
    this.opened = key;
    const same = this.source?.id === source.id;
    const view = same && this.inner.isOpen() ? this.inner.viewport.getBounds(true) : null;
    this.source = source;
    this.back = placed && matrix ? inverse(matrix) : null;
    this.upper = null;
    this.revealed = "";
    this.inner.world.removeAll();
    await this.add(source, { x: 0, y: 0, width: 1 });
    if (key !== this.opened || this.ended) return placed;
    if (upper && placed) {
      const laid = await this.add(upper, { x: placed.x, y: placed.y, width: placed.width, degrees: placed.degrees });
      if (key !== this.opened || this.ended) return placed;
      this.upper = laid;
    }
    if (view) this.inner.viewport.fitBounds(view, true);
    else this.fit(true);
    if (!same) this.cross = [source.tiles.width / 2, source.tiles.height / 2];
    this.drawSoon();
    return placed;
  }

  /** @param {Source} source @param {Record<string, number>} where @returns {Promise<TiledImage>} */
  add({ tiles }, where) {
    const tileSource = tileSourceOf(tiles);
    return new Promise((resolve, reject) => {
      this.inner.addTiledImage(/** @type {any} */ ({ tileSource, ...where, success: (/** @type {{ item: TiledImage }} */ made) => resolve(made.item), error: (/** @type {unknown} */ fault) => {
        this.opened = "";
        reject(fault);
      } }));
    });
  }

  /** Screen px for one px of the picture. */
  get zoom() {
    const { source, inner } = this;
    return source ? (inner.viewport.getZoom(true) * inner.viewport.getContainerSize().x) / source.tiles.width : 1;
  }

  /** @param {Point} point @returns {Point} */
  toScreen([x, y]) {
    const wide = this.source?.tiles.width ?? 1;
    const found = this.inner.viewport.pixelFromPoint(new this.engine.Point(x / wide, y / wide), true);
    return [found.x, found.y];
  }

  /** @param {Point} point @returns {Point} */
  toPicture([x, y]) {
    const wide = this.source?.tiles.width ?? 1;
    const found = this.inner.viewport.pointFromPixel(new this.engine.Point(x, y), true);
    return [found.x * wide, found.y * wide];
  }

  /** @param {PointerEvent} event */
  pointer(event) {
    if (!this.source) return;
    const box = this.frame.getBoundingClientRect();
    this.host.pointed(this.toPicture([event.clientX - box.left - this.frame.clientLeft, event.clientY - box.top - this.frame.clientTop]));
  }

  /** How much of the upper picture is seen: all, none, or what lies right of a share of the frame's width. @param {"all" | "none" | number} seen */
  reveal(seen) {
    const { upper, source, back } = this;
    if (!upper || !source || !back) return;
    if (typeof seen !== "number") {
      this.revealed = "";
      upper.setOpacity(seen === "none" ? 0 : 1);
      upper.resetCroppingPolygons();
      return;
    }
    const { x: wide, y: high } = this.inner.viewport.getContainerSize();
    const corners = /** @type {Point[]} */ ([[seen * wide, -high], [3 * wide, -high], [3 * wide, 2 * high], [seen * wide, 2 * high]]);
    const outline = corners.map((one) => moved(back, this.toPicture(one)));
    const key = outline.flat().map((one) => one.toFixed(2)).join();
    // Cutting it anew draws it anew, which would be told as another look, and so without end.
    if (key === this.revealed) return;
    this.revealed = key;
    upper.setOpacity(1);
    upper.setCroppingPolygons([outline.map(([x, y]) => new this.engine.Point(x, y))]);
  }

  /** @param {Point} centre @param {number} zoom screen px for one px of the picture @param {number} degrees */
  lookAt(centre, zoom, degrees) {
    const { inner, source } = this;
    if (!source) return;
    const wide = source.tiles.width;
    inner.viewport.setRotation(degrees, true);
    inner.viewport.zoomTo((zoom * wide) / inner.viewport.getContainerSize().x, undefined, true);
    inner.viewport.panTo(new this.engine.Point(centre[0] / wide, centre[1] / wide), true);
  }

  get centre() {
    const wide = this.source?.tiles.width ?? 1;
    const found = this.inner.viewport.getCenter(true);
    return /** @type {Point} */ ([found.x * wide, found.y * wide]);
  }

  /** The whole of the picture in the frame. @param {boolean} [at_once] */
  fit(at_once = false) {
    const { source, inner } = this;
    if (source) inner.viewport.fitBounds(new this.engine.Rect(0, 0, 1, source.tiles.height / source.tiles.width), at_once);
  }

  /** Whether all of the picture is in the frame. */
  get whole() {
    const { source, inner } = this;
    if (!source) return false;
    const { x, y, width, height } = inner.viewport.getBounds(true);
    const off = 1e-3;
    return x <= off && y <= off && x + width >= 1 - off && y + height >= source.tiles.height / source.tiles.width - off;
  }

  /** The frame has another size: all of the picture stays in view, or else the same place as large as it was. */
  reframe() {
    const { inner, frame, source } = this;
    const [wide, high] = [frame.clientWidth, frame.clientHeight];
    const before = inner.viewport?.getContainerSize();
    if (this.ended || !before || wide === 0 || high === 0 || (before.x === wide && before.y === high)) return;
    const { whole, zoom, centre } = this;
    inner.viewport.resize(new this.engine.Point(wide, high), false);
    if (source && whole) this.fit(true);
    else if (source) this.lookAt(centre, zoom, inner.viewport.getRotation(true));
    inner.forceRedraw();
    this.drawSoon();
  }

  /** @param {number} by */
  zoomBy(by) {
    this.inner.viewport.zoomBy(by).applyConstraints();
  }

  /** @param {KeyboardEvent} event */
  pressed(event) {
    const chord = event.ctrlKey || event.metaKey;
    if (event.target !== this.frame || event.altKey || (chord && !/^[zy]$/i.test(event.key)) || !this.source) return;
    const ours = this.tool?.key(event, this.cross, Math.max(1, 1 / this.zoom)) || (!chord && (this.host.key(event) || this.moves(event)));
    if (!ours) return;
    event.preventDefault();
    event.stopPropagation();
    this.drawSoon();
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  moves({ key, shiftKey }) {
    const way = /** @type {Record<string, Point>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] })[key];
    if (way && this.tool?.cross) this.stepCross(way, shiftKey ? 10 : 1);
    else if (way) {
      const by = STEP * (shiftKey ? 4 : 1);
      this.inner.viewport.panBy(this.inner.viewport.deltaPointsFromPixels(new this.engine.Point(way[0] * by, way[1] * by))).applyConstraints();
    } else if (key === "+" || key === "=") this.zoomBy(ZOOM);
    else if (key === "-" || key === "−") this.zoomBy(1 / ZOOM);
    else if (key === "0") this.fit();
    else return false;
    return true;
  }

  /** One px of the picture or of the screen, whichever is more. @param {Point} way @param {number} many */
  stepCross(way, many) {
    const { source } = this;
    if (!source) return;
    const by = many * Math.max(1, 1 / this.zoom);
    const within = (/** @type {number} */ value, /** @type {number} */ most) => Math.min(most, Math.max(0, value));
    this.cross = [within(this.cross[0] + way[0] * by, source.tiles.width), within(this.cross[1] + way[1] * by, source.tiles.height)];
    const [x, y] = this.toScreen(this.cross);
    const { x: wide, y: high } = this.inner.viewport.getContainerSize();
    if (x < 0 || y < 0 || x > wide || y > high) this.inner.viewport.panTo(new this.engine.Point(this.cross[0] / source.tiles.width, this.cross[1] / source.tiles.width), still());
    this.host.pointed(this.cross);
  }

  /** @param {Tool | null} tool */
  take(tool) {
    if (tool !== this.tool && this.holding) this.drop();
    this.tool = tool;
    this.frame.classList.toggle("drawing", tool !== null);
    this.drawSoon();
  }

  drawSoon() {
    if (this.ended) return;
    this.due ||= requestAnimationFrame(() => {
      this.due = 0;
      if (!this.source || this.ended) return;
      /** @type {Shape[]} */
      const cross = this.tool?.cross && document.activeElement === this.frame ? [{ kind: "cross", points: [this.cross] }] : [];
      this.overlay.draw([...this.host.shapes(), ...(this.tool?.shapes() ?? []), ...cross]);
      this.host.looked?.();
    });
  }

  end() {
    this.ended = true;
    cancelAnimationFrame(this.due);
    this.sizes.disconnect();
    this.inner.destroy();
  }
}

function still() {
  return matchMedia("(prefers-reduced-motion: reduce)").matches;
}
