/** What is offered below an editor: words of a closed list, names of records. Typing narrows it, the arrows walk it, Enter takes what is lit. */

import { freshId, make } from "./make.js";

const MOST = 40;

export class Offers {
  /**
   * @param {HTMLInputElement | HTMLTextAreaElement} input
   * @param {() => readonly string[]} all
   * @param {string} label
   */
  constructor(input, all, label) {
    this.input = input;
    this.all = all;
    this.list = make("ul", "offers", "", { role: "listbox", "aria-label": label, id: freshId("offers") });
    /** @type {string[]} */
    this.shown = [];
    this.lit = -1;
    input.setAttribute("role", "combobox");
    input.setAttribute("aria-autocomplete", "list");
    input.setAttribute("aria-controls", this.list.id);
    this.list.addEventListener("mousedown", (event) => this.pressed(event));
    (input.closest("main") ?? document.body).append(this.list);
    this.place();
  }

  place() {
    const box = this.input.getBoundingClientRect();
    const below = innerHeight - box.bottom > 230;
    this.list.style.left = `${Math.max(0, box.left)}px`;
    this.list.style.minWidth = `${box.width}px`;
    this.list.style.top = below ? `${box.bottom}px` : "auto";
    this.list.style.bottom = below ? "auto" : `${innerHeight - box.top}px`;
  }

  /** @param {string} text @param {boolean} light whether the first that fits is lit at once */
  narrow(text, light) {
    const wanted = text.trim().toLowerCase();
    const all = this.all();
    const first = all.filter((one) => one.toLowerCase().startsWith(wanted));
    const within = wanted === "" ? [] : all.filter((one) => !one.toLowerCase().startsWith(wanted) && one.toLowerCase().includes(wanted));
    const exact = all.some((one) => one.toLowerCase() === wanted);
    this.shown = (light || !exact ? [...first, ...within] : [...all]).slice(0, MOST);
    const same = this.shown.findIndex((one) => one.toLowerCase() === wanted);
    this.lit = same >= 0 ? same : light && wanted !== "" && this.shown.length > 0 ? 0 : -1;
    this.draw();
  }

  draw() {
    this.list.replaceChildren(...this.shown.map((one, index) => make("li", index === this.lit ? "lit" : "", one, {
      role: "option", id: `${this.list.id}-${index}`, "aria-selected": String(index === this.lit),
    })));
    this.list.hidden = this.shown.length === 0;
    this.input.setAttribute("aria-expanded", String(this.shown.length > 0));
    if (this.lit < 0) this.input.removeAttribute("aria-activedescendant");
    else this.input.setAttribute("aria-activedescendant", `${this.list.id}-${this.lit}`);
    this.list.children[this.lit]?.scrollIntoView({ block: "nearest" });
    this.place();
  }

  /** @param {number} by @returns {boolean} whether there was anything to walk */
  walk(by) {
    if (this.shown.length === 0) return false;
    this.lit = this.lit < 0 && by < 0 ? this.shown.length - 1 : (this.lit + by + this.shown.length) % this.shown.length;
    this.draw();
    return true;
  }

  /** What is lit, if anything is. @returns {string | null} */
  chosen() {
    return this.shown[this.lit] ?? null;
  }

  /** @param {MouseEvent} event */
  pressed(event) {
    event.preventDefault();
    const found = [...this.list.children].indexOf(/** @type {Element} */ (event.target));
    if (found < 0) return;
    this.input.value = this.shown[found] ?? "";
    this.lit = found;
    this.draw();
    this.input.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true }));
  }

  destroy() {
    this.list.remove();
  }
}
