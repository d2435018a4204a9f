/** The question before a ruling is proposed: on which layers, in which generation, and what one saw that says so. */

import { proposals, told } from "../../model/chart/choosing.js";
import { button, fill, h, newId, refill } from "../parts/dom.js";

/** @typedef {import("../../model/types.js").Cell} Cell */
/** @typedef {import("../../model/types.js").Generation} Generation */
/** @typedef {import("../../model/chart/choosing.js").Proposal} Proposal */
/** @typedef {import("../../model/chart/choosing.js").RulingKind} RulingKind */

const TITLES = /** @type {const} */ ({ tie: "Tie: of one campaign", bar: "Bar: not of one campaign", hold: "Hold in a generation" });

/**
 * @param {RulingKind} kind
 * @param {readonly Cell[]} chosen
 * @param {readonly Generation[]} generations oldest first
 * @param {number | null} usual the generation offered first
 * @param {(made: Proposal[], preview: boolean) => void} propose
 */
export function askRuling(kind, chosen, generations, usual, propose) {
  const before = document.activeElement;
  const [title, where, why] = [newId("ruling"), newId("ruling"), newId("ruling")];
  const choice = h("select", { id: where }, [...generations].reverse().map((one) =>
    h("option", { value: String(one.ordinal), selected: one.ordinal === usual }, `${one.ordinal}${one.label ? `: ${one.label}` : ""}`)));
  const reason = h("textarea", { id: why, rows: 3 });
  const says = h("ul", { class: "said" });
  const made = () => {
    const found = generations.find((one) => String(one.ordinal) === choice.value);
    return proposals(kind, chosen, kind === "hold" && found ? found : null, reason.value.trim());
  };
  const tell = () => refill(says, made().map((one) => h("li", null, told(one))));
  const done = (/** @type {boolean} */ preview) => {
    const found = made();
    dialog.close();
    propose(found, preview);
  };
  const form = h("form", { method: "dialog", onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    done(true);
  } },
    h("h2", { id: title }, TITLES[kind]), says,
    kind === "hold" && h("div", { class: "field" }, h("label", { for: where }, "Generation"), choice),
    h("div", { class: "field" }, h("label", { for: why }, "Reason"), reason, h("span", { class: "hint" }, "What you saw that says so. It stays with the ruling.")),
    h("p", { class: "buttons" }, h("button", { type: "submit", class: "main" }, "Propose and preview"), button("Propose only", () => done(false)), button("Cancel", () => dialog.close(), { class: "quiet" })));
  choice.addEventListener("change", tell);
  form.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) form.requestSubmit();
  });
  const dialog = h("dialog", { "aria-labelledby": title, class: "ruling", onclose: () => {
    dialog.remove();
    if (before instanceof HTMLElement && before.isConnected) before.focus({ preventScroll: true });
  } });
  fill(dialog, form);
  document.body.append(dialog);
  tell();
  dialog.showModal();
  (kind === "hold" ? choice : reason).focus();
}
