/** Others' changes, shown as they come. */

import { isStop, wait } from "../../api/http.js";
import { changes } from "../../api/records.js";
import { reportUnexpected } from "../parts/say.js";

/** @typedef {import("../../model/types.js").Change} Change */

const PAUSE = 1500;

/**
 * Tell of each batch of changes to records of some types, until the person goes elsewhere.
 * @param {AbortSignal} signal @param {string} code @param {number} cursor @param {readonly string[]} types
 * @param {(fresh: Change[]) => Promise<void>} changed
 */
export async function live(signal, code, cursor, types, changed) {
  try {
    for (;;) {
      await wait(PAUSE, signal);
      if (document.hidden) continue;
      const found = await changes(code, cursor, signal);
      cursor = found.cursor;
      const fresh = found.changes.filter((one) => types.includes(one.record_type));
      if (fresh.length) await changed(fresh);
    }
  } catch (error) {
    if (!isStop(error)) reportUnexpected(error);
  }
}
