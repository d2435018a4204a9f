/** Opening the bench on a sample, or saying that there is none. */

import { sampleCalled, samplesOfSpace } from "../api/bench.js";
import { isStop } from "../api/http.js";
import { project as readProject, record, vocabulary } from "../api/records.js";
import { path } from "../lib/paths.js";
import { inOrder } from "../model/bench/lacks.js";
import { mayWrite } from "../model/roles.js";
import { BenchScreen } from "./bench/screen.js";
import { link } from "./parts/dom.js";
import { purpose, reportUnexpected } from "./parts/say.js";

const PURPOSE = "One cross-section at a time, entered as you see it. Everything saves by itself; the key ? tells all keys.";

/** @type {import("./parts/visit.js").Screen} */
export async function benchScreen(visit) {
  const code = visit.params["code"] ?? "";
  const [project, words, sample] = await Promise.all([readProject(code, visit.signal), vocabulary(), sampleCalled(code, visit.params["sample"] ?? "", visit.signal)]);
  if (!sample) {
    const hint = mayWrite(project.role) ? link(path("projects", code, "registers", "samples"), "Enter the first in the register of samples") : null;
    return { title: "Bench", project, here: "bench", body: [purpose("There are no samples in this project yet."), hint] };
  }
  const [siblings, element] = await Promise.all([samplesOfSpace(code, String(sample["space"]), visit.signal), record(code, "elements", String(sample["element"]), visit.signal)]);
  const screen = new BenchScreen(visit, project, words, sample, element, inOrder(siblings));
  await screen.load();
  screen.begin().catch((error) => !isStop(error) && reportUnexpected(error));
  return { title: `Bench: sample ${sample["number"]}`, project, here: "bench", body: [purpose(PURPOSE), screen.face.element] };
}
