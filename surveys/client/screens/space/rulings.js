/** The rulings on the layers of a space: listed, added, withdrawn. */

import { create, withdraw } from "../../api/records.js";
import { ago, moment } from "../../lib/words.js";
import { Problem, sorted } from "../../model/problems.js";
import { findLayer, sentence } from "../../model/rulings.js";
import { h, time } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Chart} Chart */
/** @typedef {import("../../model/types.js").Ruling} Ruling */

const MEANING = /** @type {const} */ ({
  tie: "Tie: the two layers are of one campaign",
  bar: "Bar: the two layers are not of one campaign",
  hold: "Hold: the layer belongs to that generation",
});

/** @param {Visit} visit @param {string} code @param {Chart} chart @param {Ruling[]} rulings @param {boolean} writes */
export function rulingsSection(visit, code, chart, rulings, writes) {
  const problem = refusals();
  const rows = rulings.map((one) => [
    one.kind, sentence(one), one.reason, h("span", null, one.created_by, ", ", time(one.created_at, ago(one.created_at, Date.now()), moment(one.created_at))),
    ...(writes ? [askedButton("Withdraw", "Withdraw it?", "Withdraw", (pressed) => busy(pressed, problem, async () => {
      await withdraw(code, "rulings", one);
      announce("Withdrawn.");
      visit.reload();
    }))] : []),
  ]);
  return h("section", { "aria-labelledby": "rulings" }, h("h2", { id: "rulings" }, "Rulings"),
    h("p", null, "A ruling is a person's word on layers; it binds every later correlation."),
    table("Rulings", ["Ruling", "It says", "Reason", "By", ...(writes ? ["Withdraw"] : [])], rows, { empty: "Nobody has ruled on a layer of this space." }),
    problem.place,
    writes && chart.cells.length > 0 && addForm(visit, code, chart));
}

/** @param {Visit} visit @param {string} code @param {Chart} chart */
function addForm(visit, code, chart) {
  const problem = refusals();
  const kind = h("select", { id: "ruling-kind", onchange: () => arrange() }, Object.entries(MEANING).map(([value, text]) => h("option", { value }, text)));
  const first = field("first_layer", "Layer", "As in WH003/7: the sample, then the layer's position.", h("input", { autocomplete: "off" }));
  const second = field("second_layer", "Other layer", "", h("input", { autocomplete: "off" }));
  const generation = field("generation", "Generation", "", h("select", null, [...chart.generations].reverse().map((one) =>
    h("option", { value: one.id }, `${one.ordinal}${one.label ? `: ${one.label}` : ""}`))));
  const reason = field("reason", "Reason", "What you saw that says so.", h("textarea", { rows: 2 }));
  const submit = h("button", { type: "submit", class: "main" }, "Add ruling");
  const fields = [first, second, generation, reason];
  const form = h("form", { class: "record", novalidate: true, "aria-labelledby": "add-ruling", oninput: () => visit.unsaved(true), onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    busy(submit, problem, add);
  } },
    h("h3", { id: "add-ruling" }, "Add a ruling"),
    h("div", { class: "fields" }, h("div", { class: "field" }, h("label", { for: "ruling-kind" }, "Ruling"), kind), fields.map((one) => one.wrap)),
    problem.place, h("p", { class: "buttons" }, submit));

  function arrange() {
    const hold = kind.value === "hold";
    second.wrap.hidden = hold;
    generation.wrap.hidden = !hold;
  }

  async function add() {
    const hold = kind.value === "hold";
    const [one, other] = [findLayer(chart, first.input.value), hold ? { id: "", fault: "" } : findLayer(chart, second.input.value)];
    if (beside({ first_layer: one.fault, second_layer: other.fault })) return;
    const named = hold ? { generation: generation.input.value } : { second_layer: other.id };
    try {
      await create(code, "rulings", { kind: kind.value, first_layer: one.id, reason: reason.input.value, ...named });
    } catch (error) {
      // A contradiction is of the whole: its chain is told step by step.
      if (!(error instanceof Problem) || error.code === "contradiction") throw error;
      const found = sorted(error.places, fields.map((each) => each.name));
      if (!beside(found.beside) || found.whole.length) throw error;
      return;
    }
    visit.unsaved(false);
    announce("Ruling added.");
    visit.reload();
  }

  /** @param {Record<string, string>} faults */
  function beside(faults) {
    for (const one of fields) one.say(faults[one.name] ?? "");
    const wrong = fields.find((one) => faults[one.name]);
    wrong?.input.focus();
    return wrong !== undefined;
  }

  arrange();
  return form;
}

/**
 * @template {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} T
 * @param {string} name @param {string} label @param {string} hint @param {T} input
 */
function field(name, label, hint, input) {
  const id = `ruling-${name}`;
  const fault = h("span", { class: "fault", id: `${id}-fault` });
  input.id = id;
  input.setAttribute("aria-describedby", `${id}-hint ${id}-fault`);
  const wrap = h("div", { class: `field ${name === "reason" ? "wide" : ""}` }, h("label", { for: id }, label), input, h("span", { class: "hint", id: `${id}-hint` }, hint), fault);
  const say = (/** @type {string} */ text) => {
    fault.textContent = text;
    wrap.classList.toggle("wrong", text !== "");
    if (text) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  };
  return { name, input, wrap, say };
}
