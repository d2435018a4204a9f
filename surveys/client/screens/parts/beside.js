/** The drawer at the side of a screen: what is opened in place, with the screen still there to work on. One at a time. */

import { button, h, newId, refill } from "./dom.js";

/** @typedef {import("./visit.js").Visit} Visit */

/** @type {{ key: string, close: (focus: boolean) => void, heading: HTMLElement } | null} */
let open = null;

/**
 * Open the drawer, or go into it where it shows just this.
 * @param {Visit} visit with which it goes
 * @param {object} what
 * @param {string} what.key
 * @param {string} what.title
 * @param {(signal: AbortSignal) => import("./dom.js").Child[]} what.content the signal stops when the drawer is closed
 * @param {() => void} what.back puts the focus where it was
 */
export function openBeside(visit, { key, title, content, back }) {
  if (open?.key === key) {
    open.heading.focus();
    return;
  }
  open?.close(false);
  const stop = new AbortController();
  const id = newId("beside");
  const heading = h("h2", { id, tabindex: -1 }, title);
  const drawer = h("aside", { class: "sidedrawer", "aria-labelledby": id, onkeydown: (/** @type {KeyboardEvent} */ event) => {
    if (event.key !== "Escape" || event.defaultPrevented) return;
    event.preventDefault();
    close(true);
  } });
  /** @param {boolean} focus */
  const close = (focus) => {
    stop.abort(new DOMException("Closed", "AbortError"));
    drawer.remove();
    open = null;
    document.body.classList.remove("has-sidedrawer");
    dispatchEvent(new Event("resize"));
    if (focus) back();
  };
  open = { key, close, heading };
  refill(drawer, h("p", { class: "close" }, button("Close", () => close(true), { class: "quiet" })), heading, content(stop.signal));
  document.querySelector("main")?.after(drawer);
  document.body.classList.add("has-sidedrawer");
  visit.signal.addEventListener("abort", () => { if (open?.key === key) close(false); }, { once: true });
  dispatchEvent(new Event("resize"));
  heading.focus({ preventScroll: true });
}
