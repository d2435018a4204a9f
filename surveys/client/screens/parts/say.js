/** Telling people things: what went wrong, what goes on, what is done. */

import { Problem, sentence } from "../../model/problems.js";
import { isStop } from "../../api/http.js";
import { h, refill } from "./dom.js";

/**
 * Say something to who hears the page rather than sees it.
 * @param {string} text
 */
export function announce(text) {
  const region = document.getElementById("announcements");
  if (region && region.textContent !== text) region.textContent = text;
}

/**
 * A box for what was refused or failed; takes the focus' place in the reading order and is read at once.
 * @param {string} text
 * @param {string[]} [more]
 */
export function refusalBox(text, more = []) {
  const steps = more.filter((one) => one !== text);
  return h("div", { class: "box refusal", role: "alert" },
    h("p", null, h("strong", null, "Refused. "), text),
    steps.length > 0 && h("ul", null, steps.map((one) => h("li", null, one))));
}

/**
 * A place in a page for refusals: empty until there is one.
 */
export function refusals() {
  const place = h("div", { class: "refusals" });
  return {
    place,
    clear: () => refill(place),
    /** @param {unknown} error */
    show: (error) => {
      if (isStop(error)) return;
      if (!(error instanceof Problem)) reportUnexpected(error);
      refill(place, refusalBox(sentence(error), error instanceof Problem ? error.places.map((one) => one.detail) : []));
    },
  };
}

/** @param {unknown} error */
export function reportUnexpected(error) {
  if (error instanceof Error && error.name !== "Lost" && error.name !== "Problem") console.error(error);
}

/**
 * Do something while its button cannot be pressed again; what is refused is shown in the place given.
 * @param {HTMLButtonElement} pressed
 * @param {{ clear: () => void, show: (error: unknown) => void }} place
 * @param {() => Promise<unknown>} deed
 */
export async function busy(pressed, place, deed) {
  if (pressed.getAttribute("aria-disabled") === "true") return;
  pressed.setAttribute("aria-disabled", "true");
  place.clear();
  try {
    await deed();
  } catch (error) {
    place.show(error);
  } finally {
    pressed.removeAttribute("aria-disabled");
  }
}

const READ = "undercoat lines read";

/** A line on what a screen is for, until one has read it. @param {string} text */
export function purpose(text) {
  if (read().includes(text)) return null;
  const line = h("p", { class: "purpose" }, text, " ", h("button", {
    type: "button", class: "quiet", onclick: () => {
      localStorage.setItem(READ, JSON.stringify([...read(), text]));
      document.querySelector("h1")?.focus();
      line.remove();
    },
  }, "Got it", h("span", { class: "hidden" }, ": do not show this line any more")));
  return line;
}

/** The lines that were read. @returns {string[]} */
function read() {
  try {
    const kept = JSON.parse(localStorage.getItem(READ) ?? "[]");
    return Array.isArray(kept) ? kept : [];
  } catch {
    return [];
  }
}

/** Show the lines on what each screen is for again. */
export function showPurposes() {
  localStorage.removeItem(READ);
}

/**
 * A button that asks once more before it does what cannot be undone here.
 * @param {string} text
 * @param {string} question
 * @param {string} yes
 * @param {(pressed: HTMLButtonElement) => void} act
 */
export function askedButton(text, question, yes, act) {
  const place = h("span", { class: "asked" });
  const first = h("button", { type: "button", class: "quiet" }, text);
  const back = () => {
    refill(place, first);
    first.focus();
  };
  first.addEventListener("click", () => {
    const sure = h("button", { type: "button", class: "weighty" }, yes);
    sure.addEventListener("click", () => act(sure));
    const no = h("button", { type: "button", class: "quiet", onclick: back }, "No");
    place.addEventListener("keydown", (event) => event.key === "Escape" && back());
    refill(place, h("span", { role: "status" }, question, " "), sure, " ", no);
    no.focus();
  });
  refill(place, first);
  return place;
}
