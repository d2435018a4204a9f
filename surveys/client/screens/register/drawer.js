/**
 * Where what is typed lies until it is saved: in the browser, a place for each window. A window that is gone leaves its place behind, and the
 * next that shows the same register takes it over.
 */

const BEAT = 4000;
const STALE = 15_000;

export class Drawer {
  /** @param {string[]} steps */
  constructor(steps) {
    this.stem = `${steps.join("|")}|`;
    this.key = `${this.stem}${ownName()}`;
    /** @type {unknown} */
    this.content = null;
    this.beat = window.setInterval(() => this.content !== null && this.write(), BEAT);
  }

  /** What lies in the places of this window and of windows that are gone. @returns {unknown[]} */
  takeOut() {
    const found = [];
    for (const key of Object.keys(localStorage).filter((one) => one.startsWith(this.stem))) {
      const kept = parsed(localStorage.getItem(key));
      if (key !== this.key && Date.now() - kept.at < STALE) continue;
      found.push(kept.content);
      localStorage.removeItem(key);
    }
    return found;
  }

  /** @param {unknown} content null for nothing @returns {boolean} whether it could be kept */
  putIn(content) {
    this.content = content;
    if (content !== null) return this.write();
    localStorage.removeItem(this.key);
    return true;
  }

  write() {
    try {
      localStorage.setItem(this.key, JSON.stringify({ at: Date.now(), content: this.content }));
      return true;
    } catch {
      return false;
    }
  }

  leave() {
    clearInterval(this.beat);
  }
}

/** @param {string | null} text @returns {{ at: number, content: unknown }} */
function parsed(text) {
  try {
    return JSON.parse(text ?? "");
  } catch {
    return { at: 0, content: null };
  }
}

/** This window's name, which a reload does not change. */
function ownName() {
  const known = sessionStorage.getItem("undercoat window");
  if (known) return known;
  const made = String(Math.floor(Math.random() * 1e12));
  sessionStorage.setItem("undercoat window", made);
  return made;
}
