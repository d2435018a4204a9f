/** From one sample to another: the next, the one before, or one by its number. What is entered is saved first, or kept. */

import { sampleCalled, samplesOfSpace, spacesInOrder } from "../../api/bench.js";
import { isStop, wait } from "../../api/http.js";
import { path } from "../../lib/paths.js";
import { inOrder, neighbour } from "../../model/bench/lacks.js";
import { sentence } from "../../model/problems.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */

/** How long one waits for what was typed to be saved before going on; it is kept either way. */
const PATIENCE = 1200;
const LONGER = 5000;

export class Walk {
  /**
   * @param {object} told
   * @param {Visit} told.visit
   * @param {string} told.code
   * @param {import("../../model/types.js").Row} told.sample where one is
   * @param {import("../../api/bench.js").Neighbour[]} told.siblings the samples of its space, in order
   * @param {(text: string) => void} told.say
   * @param {() => Promise<void>} told.save
   * @param {() => boolean} told.mayLeave asked before one goes, where something would be cut short
   */
  constructor(told) {
    this.told = told;
  }

  /** @param {1 | -1} by */
  async toNeighbour(by) {
    const { siblings, sample, say } = this.told;
    try {
      const number = neighbour(siblings, sample.id, by)?.number ?? (await this.beyond(by));
      if (number) await this.toSample(number);
      else say(by > 0 ? "This is the last sample of the project." : "This is the first sample of the project.");
    } catch (error) {
      if (!isStop(error)) say(sentence(error));
    }
  }

  /** Beyond the space: the first sample of the next space that has any, or the last of the one before. @param {1 | -1} by */
  async beyond(by) {
    const { code, visit, sample } = this.told;
    const spaces = (await spacesInOrder(code, visit.signal)).filter((one) => one.sample_count > 0);
    const next = neighbour(spaces, String(sample["space"]), by);
    return next ? (inOrder(await samplesOfSpace(code, next.id, visit.signal)).at(by > 0 ? 0 : -1)?.number ?? "") : "";
  }

  /** @param {string} number */
  async toSample(number) {
    const { code, visit, say, save, mayLeave } = this.told;
    if (number === "") {
      say("Write the number of a sample.");
      return;
    }
    const saving = save();
    try {
      const found = await Promise.race([sampleCalled(code, number, visit.signal), wait(LONGER, visit.signal).then(() => null)]);
      if (!found) {
        say("The connection is lost: the other sample cannot be shown. What you entered stays here.");
        return;
      }
      await Promise.race([saving, wait(PATIENCE, visit.signal)]);
      if (mayLeave()) visit.go(path("projects", code, "bench", String(found["number"])));
    } catch (error) {
      if (!isStop(error)) say(sentence(error));
    }
  }
}
