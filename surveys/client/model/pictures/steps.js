/** What was done, state by state: undone and done again. */

/** @template T @typedef {{ state: T, said: string, run: string }} Step */

/** @template T */
export class Steps {
  /** @param {T} first */
  constructor(first) {
    /** @type {Step<T>[]} */
    this.all = [{ state: first, said: "", run: "" }];
    this.at = 0;
  }

  /** @returns {Step<T>} */
  get step() {
    return /** @type {Step<T>} */ (this.all[this.at]);
  }

  get now() {
    return this.step.state;
  }

  /** Go on to another state; what is of one run is one step to undo, not a hundred. @param {T} state @param {string} said @param {string} [run] */
  done(state, said, run = "") {
    const on = run !== "" && run === this.step.run && this.at === this.all.length - 1;
    this.all = [...this.all.slice(0, this.at + (on ? 0 : 1)), { state, said, run }];
    this.at = this.all.length - 1;
    return said;
  }

  /** What comes next is a step of its own. */
  rest() {
    this.step.run = "";
  }

  undo() {
    if (this.at === 0) return "There is nothing to undo.";
    const { said } = this.step;
    this.at -= 1;
    this.rest();
    return `Undone: ${said}`;
  }

  redo() {
    if (this.at === this.all.length - 1) return "There is nothing to do again.";
    this.at += 1;
    this.rest();
    return this.step.said;
  }
}
