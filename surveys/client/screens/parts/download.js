/** Files that are fetched by a link: what is refused is said beside the link, where the browser alone would only show what was answered. */

import { isStop, offered } from "../../api/http.js";
import { h } from "./dom.js";
import { refusals } from "./say.js";

/** @type {WeakMap<HTMLAnchorElement, ReturnType<typeof refusals>>} */
const said = new WeakMap();

/** @param {HTMLAnchorElement} link @param {AbortSignal | undefined} signal that of the screen */
export async function fetchFile(link, signal) {
  if (link.getAttribute("aria-busy") === "true") return;
  const problem = said.get(link) ?? refusals();
  said.set(link, problem);
  problem.clear();
  link.after(problem.place);
  link.setAttribute("aria-busy", "true");
  try {
    await offered(link.href, signal);
    // The browser fetches it itself: it shows how far it is, and keeps no large file in memory.
    h("a", { href: link.href, download: link.download }).click();
  } catch (error) {
    if (!isStop(error)) problem.show(error);
  } finally {
    link.removeAttribute("aria-busy");
  }
}
