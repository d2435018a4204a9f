/** The browser's own calendar beside a date that is typed. */

import { make } from "./make.js";

export class Calendar {
  /** @param {HTMLInputElement | HTMLTextAreaElement} input */
  constructor(input) {
    this.input = input;
    this.day = make("input", "calendarday", "", { type: "date", tabindex: "-1", "aria-hidden": "true" });
    this.button = make("button", "calendar", "▾", { type: "button", tabindex: "-1", "aria-label": "Calendar" });
    this.button.title = "Calendar (Alt+↓)";
    this.button.addEventListener("click", () => this.open());
    this.day.addEventListener("change", () => this.chosen());
    input.after(this.day, this.button);
  }

  /** Where the calendar opens: at the day that is written, if it is one. */
  follow() {
    this.day.value = this.input.value.trim();
  }

  open() {
    // It opens only from a key or a press; where a browser has none, one types on.
    try {
      this.day.showPicker();
    } catch {
      this.input.focus();
    }
  }

  chosen() {
    if (this.day.value === "") return;
    this.input.value = this.day.value;
    this.input.dispatchEvent(new Event("input", { bubbles: true }));
    this.input.focus();
  }

  destroy() {
    this.day.remove();
    this.button.remove();
  }
}
