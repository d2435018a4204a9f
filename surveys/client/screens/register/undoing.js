/** Undo and redo on a register, told in words. */

import { restore } from "../../api/sheets.js";
import { mayManage } from "../../model/roles.js";

/** @typedef {import("./screen.js").RegisterScreen} RegisterScreen */
/** @typedef {import("../../model/sheet/steps.js").Undone} Undone */

/** Say what was undone or done again, and have the service bring back what only it can. @param {RegisterScreen} screen @param {Undone | null} done @param {string} said */
export function undone(screen, done, said) {
  if (!done) {
    screen.say("There is nothing to undo or do again.");
    return;
  }
  const left = done.left > 0 ? ` ${done.left} cells were changed by somebody else since, and stay as they are.` : "";
  screen.say(`${said}: ${done.label}.${left}`);
  screen.written();
  if (done.restore.length > 0) restoreAll(screen, done.restore).catch((error) => screen.problem.show(error));
}

/** Records on which others hang are brought back by the service, whole. @param {RegisterScreen} screen @param {string[]} ids */
async function restoreAll(screen, ids) {
  await screen.live.catchUp();
  if (!mayManage(screen.project.role)) {
    screen.say("These records were removed with all that hung on them. A coordinator of the project can bring them back.");
    return;
  }
  const acts = new Set(ids.map((id) => screen.live.acts.get(id)).filter((act) => act !== undefined));
  for (const act of acts) await restore(screen.project.code, act);
  await screen.live.catchUp();
  screen.say(`Brought back ${ids.length} ${ids.length === 1 ? "record" : "records"} with all that hung on them.`);
}
