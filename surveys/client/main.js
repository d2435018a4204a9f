/** The start: which address shows which screen, and going from one to the next. */

import { isStop, listen } from "./api/http.js";
import { signOut, whoAmI } from "./api/session.js";
import { match, withQuery } from "./lib/paths.js";
import { Problem, sentence } from "./model/problems.js";
import { asOfScreen } from "./screens/as_of.js";
import { benchScreen } from "./screens/bench.js";
import { onKey } from "./screens/help.js";
import { editFindingScreen, newFindingScreen } from "./screens/findings/edit.js";
import { findingScreen } from "./screens/findings/one.js";
import { findingsScreen } from "./screens/findings.js";
import { importScreen } from "./screens/import.js";
import { invitationScreen } from "./screens/invitation.js";
import { meScreen } from "./screens/me.js";
import { membersScreen } from "./screens/members.js";
import { outputsScreen } from "./screens/outputs.js";
import { pictureScreen } from "./screens/pictures.js";
import { button, h, link } from "./screens/parts/dom.js";
import { fetchFile } from "./screens/parts/download.js";
import { announce, reportUnexpected } from "./screens/parts/say.js";
import { forgottenScreen, newPasswordScreen } from "./screens/passwords.js";
import { projectScreen } from "./screens/project.js";
import { newQuestionScreen, questionScreen, questionsScreen } from "./screens/questions.js";
import { readingsScreen } from "./screens/readings.js";
import { registerScreen } from "./screens/register/screen.js";
import { newRecordScreen, recordScreen } from "./screens/registers.js";
import { removedScreen } from "./screens/removed.js";
import { scheduleScreen } from "./screens/schedules/draft.js";
import { issueScreen } from "./screens/schedules/issue.js";
import { schedulesScreen } from "./screens/schedules.js";
import { secondFactorScreen } from "./screens/second_factor.js";
import { settingsScreen } from "./screens/settings.js";
import { shell } from "./screens/shell.js";
import { sidesScreen } from "./screens/side_by_side.js";
import { signInScreen } from "./screens/sign_in.js";
import { spaceScreen } from "./screens/space.js";
import { newProjectScreen, structuresScreen } from "./screens/structures.js";
import { yearsScreen } from "./screens/years.js";

/** @typedef {import("./screens/parts/visit.js").Screen} Screen */
/** @typedef {import("./screens/parts/visit.js").Shown} Shown */

/** @type {readonly (readonly [pattern: string, screen: Screen])[]} */
const ROUTES = [
  ["/", structuresScreen],
  ["/sign-in", signInScreen],
  ["/invitation", invitationScreen],
  ["/forgotten", forgottenScreen],
  ["/new-password", newPasswordScreen],
  ["/new-project", newProjectScreen],
  ["/me", meScreen],
  ["/second-factor", secondFactorScreen],
  ["/projects/:code", projectScreen],
  ["/projects/:code/spaces/:number", spaceScreen],
  ["/projects/:code/bench", benchScreen],
  ["/projects/:code/bench/:sample", benchScreen],
  ["/projects/:code/pictures/:id", pictureScreen],
  ["/projects/:code/registers/:register", registerScreen],
  ["/projects/:code/registers/:register/new", newRecordScreen],
  ["/projects/:code/registers/:register/:id", recordScreen],
  ["/projects/:code/years", yearsScreen],
  ["/projects/:code/as-of", asOfScreen],
  ["/projects/:code/readings", readingsScreen],
  ["/projects/:code/schedules", schedulesScreen],
  ["/projects/:code/schedules/:number", scheduleScreen],
  ["/projects/:code/issues/:id", issueScreen],
  ["/projects/:code/findings", findingsScreen],
  ["/projects/:code/findings/new", newFindingScreen],
  ["/projects/:code/findings/:number", findingScreen],
  ["/projects/:code/findings/:number/edit", editFindingScreen],
  ["/projects/:code/side-by-side", sidesScreen],
  ["/projects/:code/questions", questionsScreen],
  ["/projects/:code/questions/new", newQuestionScreen],
  ["/projects/:code/questions/:number", questionScreen],
  ["/projects/:code/import", importScreen],
  ["/projects/:code/outputs", outputsScreen],
  ["/projects/:code/members", membersScreen],
  ["/projects/:code/removed", removedScreen],
  ["/projects/:code/settings", settingsScreen],
];
/** What is shown to who is not signed in, too. @type {ReadonlySet<Screen | null>} */
const OPEN = new Set([signInScreen, invitationScreen, forgottenScreen, newPasswordScreen]);
const SLOW = 400;

class Client {
  constructor() {
    /** @type {import("./model/types.js").Person | null} */
    this.person = null;
    this.known = false;
    // While one asks who is signed in, that nobody is is an answer and no ended session.
    this.quiet = false;
    this.unsaved = false;
    this.address = here();
    this.visit = new AbortController();
    this.shell = shell(() => this.leave());
    listen({ connection: (lost) => this.shell.connection(lost), waits: (seconds) => this.shell.waits(seconds), signedOut: () => this.signedOut() });
    document.addEventListener("click", (event) => this.clicked(event));
    document.addEventListener("keydown", onKey);
    addEventListener("popstate", () => this.wentBack());
    addEventListener("beforeunload", (event) => this.unsaved && event.preventDefault());
  }

  /** @param {string} address @param {{ replace?: boolean }} [how] */
  go(address, how = {}) {
    if (!this.mayLeave()) return;
    if (how.replace || address === here()) history.replaceState(null, "", address);
    else history.pushState(null, "", address);
    this.show();
  }

  wentBack() {
    if (here() === this.address) return;
    if (this.mayLeave()) this.show();
    else history.pushState(null, "", this.address);
  }

  mayLeave() {
    if (this.unsaved && !confirm("What you entered here is not saved. Leave it?")) return false;
    this.unsaved = false;
    return true;
  }

  /** @param {boolean} [again] whether the same screen is shown anew: then one stays where one is in it */
  async show(again = false) {
    this.visit.abort(new DOMException("Went elsewhere", "AbortError"));
    this.visit = new AbortController();
    const { signal } = this.visit;
    this.address = here();
    const slow = setTimeout(() => announce("Loading …"), SLOW);
    document.body.classList.add("loading");
    const shown = await this.screen(signal).catch((error) => (signal.aborted ? null : this.failure(error)));
    clearTimeout(slow);
    if (shown === null || signal.aborted) return;
    document.body.classList.remove("loading");
    const [x, y] = [scrollX, scrollY];
    this.unsaved = false;
    this.shell.show(shown, this.person).focus({ preventScroll: again });
    if (again) scrollTo(x, y);
    else scrollTo(0, 0);
  }

  /** @param {AbortSignal} signal @returns {Promise<Shown>} */
  async screen(signal) {
    const [screen, params] = routed(location.pathname);
    if (!this.known || OPEN.has(screen)) await this.identify(signal);
    if (!this.person && !OPEN.has(screen)) throw new Problem(401, "not-signed-in", "Sign in first.");
    if (!screen) throw new Problem(404, "not-found", "There is nothing at this address.");
    return screen({
      params, signal, query: new URLSearchParams(location.search), person: this.person,
      go: (address, how) => {
        this.unsaved = false;
        this.known = OPEN.has(screen) ? false : this.known;
        this.go(address, how);
      },
      reload: () => this.show(true),
      unsaved: (unsaved) => { this.unsaved = unsaved; },
    });
  }

  /** @param {AbortSignal} signal */
  async identify(signal) {
    this.quiet = true;
    try {
      this.person = await whoAmI(signal);
    } catch (error) {
      if (!(error instanceof Problem) || error.status !== 401) throw error;
      this.person = null;
    } finally {
      this.quiet = false;
    }
    this.known = true;
  }

  /** @param {unknown} error @returns {Shown | null} */
  failure(error) {
    if (isStop(error)) return null;
    if (error instanceof Problem && error.status === 401) {
      this.toSignIn({});
      return null;
    }
    if (error instanceof Problem && error.code === "second-factor-missing") {
      this.go(withQuery("/second-factor", { next: here() }), { replace: true });
      return null;
    }
    reportUnexpected(error);
    const missing = error instanceof Problem && error.status === 404;
    return {
      title: missing ? "Not found" : "This could not be shown",
      body: [h("p", { role: "alert" }, sentence(error)), h("p", { class: "buttons" }, button("Try again", () => this.show()), " ", link("/", "All structures"))],
    };
  }

  /** The session ended while one was at work. */
  signedOut() {
    if (this.quiet || !this.person) return;
    this.toSignIn({ ended: "1" });
  }

  /** @param {Record<string, string>} more */
  toSignIn(more) {
    this.person = null;
    this.unsaved = false;
    const next = here();
    this.go(withQuery("/sign-in", { next: next === "/" ? "" : next, ...more }), { replace: true });
  }

  async leave() {
    if (!this.mayLeave()) return;
    await signOut().catch(reportUnexpected);
    this.person = null;
    this.known = false;
    this.go("/sign-in");
  }

  /** Links within the program show the next screen without loading the page anew. @param {MouseEvent} event */
  clicked(event) {
    const target = event.target instanceof Element ? event.target.closest("a") : null;
    if (!target || event.defaultPrevented || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    if (target.hasAttribute("download") && target.href.startsWith(`${location.origin}/`)) {
      event.preventDefault();
      void fetchFile(target, this.visit.signal);
      return;
    }
    if (target.origin !== location.origin || target.target || target.pathname.startsWith("/api/")) return;
    event.preventDefault();
    this.go(target.pathname + target.search);
  }
}

function here() {
  return location.pathname + location.search;
}

/** @param {string} pathname @returns {[Screen | null, Record<string, string>]} */
function routed(pathname) {
  for (const [pattern, screen] of ROUTES) {
    const params = match(pattern, pathname);
    if (params) return [screen, params];
  }
  return [null, {}];
}

new Client().show();
