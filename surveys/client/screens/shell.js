/** What stands around every screen: where one is, where one can go, who one is, and whether the service is reached. */

import { path } from "../lib/paths.js";
import { mayManage, maySee, mayWrite } from "../model/roles.js";
import { button, fill, h, link, refill } from "./parts/dom.js";
import { showHelp } from "./help.js";

/** @typedef {import("./parts/visit.js").Shown} Shown */
/** @typedef {import("../model/types.js").Person} Person */
/** @typedef {import("../model/types.js").Project} Project */

/** @param {() => void} signOut */
export function shell(signOut) {
  const nav = h("div", { class: "nav" });
  const structure = h("div", { class: "structure" });
  const who = h("div", { class: "who" });
  const connection = h("div", { class: "connection", role: "status" });
  const main = h("main", { id: "main" });
  const skip = h("a", { href: "#main", class: "skip", onclick: (/** @type {MouseEvent} */ event) => {
    event.preventDefault();
    main.querySelector("h1")?.focus();
  } }, "Skip to the content");
  fill(document.body, skip,
    h("header", null, link("/", h("strong", null, "Undercoat")), structure, nav, who),
    connection, main, h("div", { id: "announcements", class: "hidden", "aria-live": "polite" }));

  let [isLost, waiting, timer] = [false, "", 0];
  const say = () => {
    const said = isLost ? "The connection is lost. Trying again; what you entered stays here." : waiting;
    if (connection.textContent !== said) connection.textContent = said;
  };

  return {
    main,
    /** @param {Shown} shown @param {Person | null} person */
    show(shown, person) {
      const heading = h("h1", { tabindex: -1 }, shown.title);
      structure.textContent = shown.project && shown.project.name !== shown.title ? shown.project.name : "";
      refill(nav, shown.project && menu(shown.project, shown.here ?? ""));
      refill(who, person && [link("/me", person.name), " ", button("Sign out", signOut, { class: "quiet" }), " "], button("Keys", showHelp, { class: "quiet" }));
      refill(main, heading, shown.body);
      document.title = [shown.title, shown.project && shown.project.name !== shown.title ? shown.project.name : "", "Undercoat"].filter(Boolean).join(" – ");
      return heading;
    },
    /** @param {boolean} lost */
    connection(lost) {
      isLost = lost;
      say();
    },
    /** @param {number} seconds */
    waits(seconds) {
      clearTimeout(timer);
      waiting = `More was asked for than is answered in a minute. It goes on by itself in ${seconds} s; what you entered stays here.`;
      timer = window.setTimeout(() => {
        waiting = "";
        say();
      }, 1000 * seconds);
      say();
    },
  };
}

/** @param {Project} project @param {string} here */
function menu(project, here) {
  const base = ["projects", project.code];
  const entries = [
    ["overview", "Standing", path(...base), true],
    ["bench", "Bench", path(...base, "bench"), maySee(project.role)],
    ["registers", "Registers", path(...base, "registers", "elements"), maySee(project.role)],
    ["years", "Years", path(...base, "years"), maySee(project.role)],
    ["as-of", "As of", path(...base, "as-of"), maySee(project.role)],
    ["readings", "Readings", path(...base, "readings"), maySee(project.role)],
    ["schedules", "Schedules", path(...base, "schedules"), true],
    ["findings", "Findings", path(...base, "findings"), maySee(project.role)],
    ["import", "Import", path(...base, "import"), mayWrite(project.role)],
    ["outputs", "Outputs", path(...base, "outputs"), maySee(project.role)],
    ["members", "Members", path(...base, "members"), maySee(project.role)],
    ["removed", "Removed", path(...base, "removed"), mayManage(project.role)],
    ["settings", "Settings", path(...base, "settings"), mayManage(project.role)],
  ].filter(([, , , shown]) => shown);
  return h("nav", { "aria-label": "Project" }, h("ul", null, entries.map(([name, text, href]) => {
    const made = link(String(href), String(text));
    if (name === here) made.setAttribute("aria-current", "page");
    return h("li", null, made);
  })));
}
