/** One picture at work: its scale, its colours, how it lies on the other, and the lines along which its layers are read. */

import { attachment as readAttachment } from "../api/pictures.js";
import { project as readProject, record } from "../api/records.js";
import { path } from "../lib/paths.js";
import { pageOf } from "../model/findings.js";
import { called, measuresTold } from "../model/pictures/pictures.js";
import { alsoTell } from "./help.js";
import { h, link } from "./parts/dom.js";
import { purpose } from "./parts/say.js";
import { listed } from "./pictures/listed.js";
import { DESK_KEYS } from "./pictures/controls.js";
import { CUT_KEYS } from "./pictures/cutting.js";
import { POINT_KEYS } from "./pictures/points.js";
import { PictureWork } from "./pictures/work.js";

/** @typedef {import("../model/pictures/types.js").Attachment} Attachment */

const PURPOSE = "Look closely, give the picture its scale and its colours, and read layers along a line: what is read is a proposal, which you correct and accept layer by layer.";

/** @type {import("./parts/visit.js").Screen} */
export async function pictureScreen(visit) {
  const code = visit.params["code"] ?? "";
  const [project, one] = await Promise.all([readProject(code, visit.signal), readAttachment(code, visit.params["id"] ?? "", visit.signal)]);
  const sample = await sampleOf(code, one, visit.signal);
  const shown = { title: called(one), project, here: sample ? "bench" : "registers" };
  const back = h("p", null, backTo(code, one, sample), " · ", measuresTold(one), one.remarks?.length ? ` · ${one.remarks.join(" ")}` : "");
  if (one.kind === "document") return { ...shown, body: [back, listed({ code, signal: visit.signal, writes: false, changed: visit.reload }, [one])] };
  const work = new PictureWork(visit, project, sample, one);
  alsoTell("Keys in a picture", [...DESK_KEYS, ...POINT_KEYS, ...CUT_KEYS], visit.signal);
  await work.read();
  return { ...shown, body: [purpose(PURPOSE), back, work.element] };
}

/** @param {string} code @param {Attachment} one @param {AbortSignal} signal */
async function sampleOf(code, one, signal) {
  if (one.about_type === "sample") return record(code, "samples", one.about_id, signal);
  if (one.about_type !== "layer") return null;
  const layer = await record(code, "layers", one.about_id, signal);
  return record(code, "samples", String(layer["sample"]), signal);
}

/** @param {string} code @param {Attachment} one @param {import("../model/types.js").Row | null} sample */
function backTo(code, one, sample) {
  if (sample) return link(path("projects", code, "bench", String(sample["number"])), `Bench: sample ${sample["number"]}`);
  const name = `${one.about_type} ${one.about_name}`;
  const href = one.about_type === "project" ? path("projects", code) : one.about_type === "space" ? path("projects", code, "spaces", one.about_name) : pageOf(code, one.about_type, one.about_id, one.about_name);
  return href ? link(href, name) : name;
}
