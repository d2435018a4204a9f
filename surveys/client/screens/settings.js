/** The settings of a project. */

import { changeProject, project as readProject } from "../api/records.js";
import { PROJECT_FIELDS } from "../model/registers.js";
import { mayManage, mayWrite } from "../model/roles.js";
import { label, shown } from "../model/fields.js";
import { h } from "./parts/dom.js";
import { recordForm } from "./parts/form.js";
import { historyFold } from "./parts/history.js";
import { purpose } from "./parts/say.js";
import { attachmentsSection } from "./pictures/attachments.js";
import { microscopesFold } from "./pictures/microscopes.js";

/** @type {import("./parts/visit.js").Screen} */
export async function settingsScreen(visit) {
  const code = visit.params["code"] ?? "";
  const project = await readProject(code, visit.signal);
  const row = /** @type {Record<string, unknown>} */ (project);
  const body = mayManage(project.role)
    ? recordForm({
        fields: PROJECT_FIELDS, row, words: {}, resolve: async () => null, unsaved: visit.unsaved,
        save: (values, current) => changeProject(code, Number(current?.["version"]), values),
        saved: () => visit.reload(),
      })
    : h("dl", { class: "told" }, PROJECT_FIELDS.flatMap((field) => (shown(field, row) ? [h("dt", null, label(field)), h("dd", null, shown(field, row).replaceAll("\n", ", "))] : [])));
  return { title: "Settings", project, here: "settings", body: [purpose("What the structure is called, the years within which all its paint lies, and its list of element classes."), body,
    mayWrite(project.role) && microscopesFold(visit, code, () => {}),
    attachmentsSection(visit, project, "project", project.id),
    historyFold({ code, signal: visit.signal, id: project.id, changed: visit.reload }, "Former settings")] };
}
