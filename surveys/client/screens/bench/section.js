/** The section as a stack of bands: the surface at the head, the substrate at the foot, each layer with how it meets the one beneath. */

import { paint } from "../../grid/swatches.js";
import { BOUNDARIES, SCALE_TOLD, band, bandName, bars, colourTold, line } from "../../model/bench/drawing.js";
import { openThreads } from "../../model/talk.js";
import { h, newId, refill } from "../parts/dom.js";
import { talkMark } from "../parts/talking.js";

/** @typedef {import("../../model/bench/stack.js").Layer} Layer */
/** @typedef {import("../../api/sheets.js").Colour} Colour */

/**
 * @typedef {object} Drawn
 * @property {Layer[]} stack lowest first
 * @property {string} current
 * @property {Record<string, string>} sample what stands in the sample's fields
 * @property {string} substrate
 * @property {(id: string) => string} state
 */

const LONG = 1600;
const LINE = 19;
const LEAST = 260;
const GAP = 10;
const DRAWING = "http://www.w3.org/2000/svg";

export class Section {
  /** @param {{ chosen: (id: string) => void, entered: (id: string) => void, colour: (layer: Layer) => Colour | null, talk: (id: string) => number }} host */
  constructor(host) {
    this.host = host;
    this.head = h("p", { class: "sectionend" });
    this.foot = h("p", { class: "sectionend" });
    this.list = h("div", { class: "stack", role: "listbox", "aria-label": "Layers, from the surface down" });
    this.empty = h("p", { class: "empty", tabindex: -1 }, "No layers yet.");
    this.element = h("section", { class: "cross", "aria-label": "Cross-section" }, this.head, this.list, this.empty, this.foot);
    /** @type {Map<string, ReturnType<typeof makeBand>>} */
    this.bands = new Map();
  }

  /** @param {Drawn} drawn @param {Map<string, string>} [renamed] */
  draw(drawn, renamed = new Map()) {
    for (const [before, now] of renamed) {
      const found = this.bands.get(before);
      this.bands.delete(before);
      if (found) this.bands.set(now, found);
    }
    const focused = this.list.contains(document.activeElement);
    const { stack, current } = drawn;
    const whole = stack.length;
    const wanted = [...stack].reverse().map((layer, index) => this.band(layer, whole - index, whole, layer.id === current, drawn.state(layer.id)));
    const ids = new Set(stack.map((one) => one.id));
    for (const id of this.bands.keys()) if (!ids.has(id)) this.bands.delete(id);
    if (wanted.length !== this.list.children.length || wanted.some((one, index) => this.list.children[index] !== one)) {
      refill(this.list, wanted);
      if (focused) this.focus(current);
    }
    this.list.hidden = whole === 0;
    this.empty.hidden = whole > 0;
    this.head.textContent = `Surface · top state: ${drawn.sample["top_state"] || "not said"}`;
    this.foot.textContent = `Substrate: ${drawn.substrate || "not said"} · base state: ${drawn.sample["base_state"] || "not said"}`;
  }

  /** @param {Layer} layer @param {number} position @param {number} whole @param {boolean} current @param {string} state */
  band(layer, position, whole, current, state) {
    let found = this.bands.get(layer.id);
    if (!found) {
      found = makeBand((element) => this.host.chosen(this.idOf(element)), (element) => this.host.entered(this.idOf(element)));
      this.bands.set(layer.id, found);
    }
    const { element, parts } = found;
    const { texts } = layer;
    element.tabIndex = current ? 0 : -1;
    element.setAttribute("aria-selected", String(current));
    const talk = this.host.talk(layer.id);
    parts.name.textContent = [bandName(layer, position, whole, state), talk > 0 && openThreads(talk)].filter(Boolean).join(", ");
    refill(parts.talk, talkMark(talk));
    const { height, remark } = band(texts["thickness_um"] ?? "");
    parts.body.style.height = `${height}px`;
    parts.body.style.setProperty("--lines", String(Math.floor(height / LINE)));
    parts.position.textContent = String(position);
    const colour = this.host.colour(layer);
    paint(parts.paint, colour);
    parts.kind.textContent = texts["kind"] || "kind?";
    const completeness = texts["completeness"] === "present" ? "" : texts["completeness"];
    parts.words.textContent = [colourTold(texts), completeness, layer.generation && `generation ${layer.generation}${layer.held ? " (held)" : ""}`].filter(Boolean).join(" · ");
    const strength = bars(texts["uv_strength"] ?? "");
    parts.uv.textContent = strength || texts["uv_colour"] ? `UV ${[strength, texts["uv_colour"]].filter(Boolean).join(" ")}` : "";
    parts.uv.title = parts.uv.textContent;
    parts.thick.textContent = texts["thickness_um"] ? `${texts["thickness_um"]} µm${remark ? `, ${remark}` : ""}` : "";
    parts.state.textContent = state;
    drawBoundary(parts.boundary, texts["lower_boundary"] ?? "");
    return element;
  }

  /** Mark the layer that is pointed at in a picture; none for blank. @param {string} id */
  point(id) {
    for (const [one, { element }] of this.bands) element.classList.toggle("pointed", one === id);
  }

  /** @param {Element} element */
  idOf(element) {
    return [...this.bands].find(([, one]) => one.element === element)?.[0] ?? "";
  }

  /** @param {string} id */
  focus(id) {
    const found = this.bands.get(id)?.element;
    if (!found) this.empty.focus();
    found?.focus({ preventScroll: true });
    if (!found) return;
    this.fit();
    const { list } = this;
    const [above, below] = [found.offsetTop, found.offsetTop + found.offsetHeight];
    // What is out of sight comes to the middle, with what lies about it; the page itself stays where it is as long as that shows the layer.
    if (above < list.scrollTop || below > list.scrollTop + list.clientHeight) list.scrollTop = (above + below - list.clientHeight) / 2;
    found.scrollIntoView({ block: "nearest" });
  }

  /** The stack is as high as the window leaves room for. */
  fit() {
    const body = this.element.closest(".benchbody");
    if (!body) return;
    const top = body.getBoundingClientRect().top + scrollY + this.head.offsetHeight;
    this.list.style.maxHeight = `${Math.max(LEAST, innerHeight - top - this.foot.offsetHeight - GAP)}px`;
  }
}

/** @param {(element: Element) => void} chosen @param {(element: Element) => void} entered */
function makeBand(chosen, entered) {
  const parts = {
    name: h("span", { class: "hidden" }), talk: h("span"), position: h("span", { class: "position" }), paint: h("span", { class: "paint" }), kind: h("strong"), words: h("span", { class: "words" }),
    uv: h("span", { class: "uv" }), thick: h("span", { class: "thick" }), state: h("span", { class: "bandstate" }), boundary: h("div", { class: "boundary", "aria-hidden": "true" }), body: h("div", { class: "bandbody", "aria-hidden": "true" }),
  };
  parts.body.append(parts.position, parts.paint, h("span", { class: "told" }, parts.kind, " ", parts.words), h("span", { class: "aside" }, parts.uv, " ", h("span", null, parts.thick, " ", parts.state, parts.talk)));
  const element = h("div", { class: "band", role: "option", id: newId("band"), onclick: () => chosen(element), ondblclick: () => entered(element) }, parts.name, parts.body, parts.boundary);
  return { element, parts };
}

/** @param {HTMLElement} place @param {string} boundary */
function drawBoundary(place, boundary) {
  if (place.dataset["boundary"] === boundary) return;
  place.dataset["boundary"] = boundary;
  const drawn = line(boundary, LONG);
  const label = h("span", { class: "boundaryword" }, boundary);
  if (!drawn) {
    refill(place, h("span", { class: "boundaryword" }, "boundary?"));
    return;
  }
  refill(place, picture(drawn), label);
}

/** @param {{ path: string, dash: string, width: number }} drawn */
function picture(drawn) {
  const svg = document.createElementNS(DRAWING, "svg");
  svg.setAttribute("height", "12");
  svg.setAttribute("aria-hidden", "true");
  const path = document.createElementNS(DRAWING, "path");
  for (const [name, value] of Object.entries({ d: drawn.path, "stroke-width": String(drawn.width), "stroke-linecap": "round", "stroke-dasharray": drawn.dash || "none" })) path.setAttribute(name, value);
  svg.append(path);
  return svg;
}

/** What the lines and marks mean. */
export function key() {
  const lines = BOUNDARIES.map((one) => {
    const drawn = line(one, 120);
    return h("div", null, h("dt", { class: "boundary sample" }, drawn && picture(drawn)), h("dd", null, one));
  });
  return h("details", { class: "benchkey" }, h("summary", null, "What the lines and marks mean"),
    h("p", null, "The line at the foot of a layer is its lower boundary:"), h("dl", null, lines),
    h("p", null, `UV ${bars("none")} none, ${bars("weak")} weak, ${bars("moderate")} moderate, ${bars("strong")} strong. `, SCALE_TOLD, " A dashed frame in place of a colour: none is known."));
}
