/** How Munsell notations look on a screen: asked for together, once each. */

/** @typedef {import("../api/sheets.js").Colour} Colour */

const PAUSE = 60;
const AT_ONCE = 150;

export class Swatches {
  /**
   * @param {(notations: string[]) => Promise<Colour[]>} ask
   * @param {() => void} known told when colours have become known
   */
  constructor(ask, known) {
    this.ask = ask;
    this.known = known;
    /** @type {Map<string, Colour | null>} null while it is asked for */
    this.colours = new Map();
    /** @type {Set<string>} */
    this.wanted = new Set();
    this.waiting = 0;
  }

  /** The colour, if it is known; if not it is asked for. @param {string} notation @returns {Colour | null} */
  of(notation) {
    const found = this.colours.get(notation);
    // A comma parts one notation from the next, so none is within.
    if (found !== undefined || notation === "" || notation.includes(",")) return found ?? null;
    this.colours.set(notation, null);
    this.wanted.add(notation);
    this.soon();
    return null;
  }

  soon() {
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.fetch(), PAUSE);
  }

  async fetch() {
    const asked = [...this.wanted].slice(0, AT_ONCE);
    for (const one of asked) this.wanted.delete(one);
    try {
      const found = await this.ask(asked);
      for (const [index, one] of asked.entries()) this.colours.set(one, found[index] ?? null);
      this.known();
    } catch {
      // A swatch is for orientation only; it is asked for again when its cell is next drawn.
      for (const one of asked) this.colours.delete(one);
    }
    if (this.wanted.size > 0) this.soon();
  }

  forget() {
    clearTimeout(this.waiting);
  }
}

/** Show a colour in a swatch. @param {HTMLElement} swatch @param {Colour | null} colour */
export function paint(swatch, colour) {
  swatch.style.backgroundColor = colour?.srgb ?? "transparent";
  swatch.classList.toggle("unknown", !colour?.srgb);
  swatch.classList.toggle("beyond", Boolean(colour?.srgb) && !colour?.in_gamut);
  if (colour?.srgb && !colour.in_gamut) swatch.title = "More saturated than a screen can show";
  else swatch.removeAttribute("title");
}
