/** What can be done with one column: sort by it, keep it in sight, hide it, group by it, and choose which of its values are shown. */

import { head } from "../../model/sheet/columns.js";
import { frozen, frozenUpTo, shown } from "../../model/sheet/shown.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { boundsChoice } from "./bounds.js";
import { valueChoice } from "./values.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../../model/sheet/address.js").Look} Look */
/** @typedef {import("../../model/sheet/columns.js").Column} Column */

const GAP = 8;

/**
 * @param {Desk} desk
 * @param {(look: Partial<Look>) => void} show
 * @param {(name: string, opener: HTMLElement) => void} back gives the focus back to where it was
 * @param {(name: string) => void} fit makes a column as wide as what it holds
 */
export function columnPanel(desk, show, back, fit) {
  const element = h("div", { class: "panel columnpanel", role: "dialog", hidden: true });
  /** @type {{ name: string, opener: HTMLElement } | null} */
  let open = null;
  element.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    close(true);
  });
  element.addEventListener("focusout", (event) => {
    if (event.relatedTarget instanceof Node && !element.contains(event.relatedTarget)) close(false);
  });
  const outside = (/** @type {Event} */ event) => { if (event.target instanceof Node && !element.contains(event.target)) close(false); };

  /** @param {boolean} returning */
  function close(returning) {
    const was = open;
    open = null;
    element.hidden = true;
    removeEventListener("pointerdown", outside, true);
    if (returning && was) back(was.name, was.opener);
  }

  /** @param {string} name */
  function draw(name) {
    const column = desk.sheet.column(name);
    const done = (/** @type {Partial<Look>} */ look) => {
      close(true);
      show(look);
    };
    const filter = (/** @type {string} */ said) => show({ filters: { ...desk.look.filters, [name]: said } });
    const values = valueChoice(desk, column, filter);
    const bounds = boundsChoice(desk, column, (said) => {
      filter(said);
      values.refresh();
    });
    const title = newId("column");
    element.setAttribute("aria-labelledby", title);
    refill(element, h("h2", { id: title }, head(column)), deeds(desk, column, done, () => {
      close(true);
      fit(name);
    }),
      h("fieldset", null, h("legend", null, "Rows shown"), bounds.element, values.element,
        h("div", { class: "buttons" }, button("Show all rows", () => {
          filter("");
          bounds.refresh();
          values.refresh();
        }, { class: "quiet" }), button("Close", () => close(true), { class: "quiet" }))));
    values.listen(() => bounds.refresh());
    return bounds;
  }

  /** @param {HTMLElement} opener */
  function place(opener) {
    const box = opener.getBoundingClientRect();
    element.style.maxHeight = `${innerHeight - 2 * GAP}px`;
    const left = Math.min(box.left, innerWidth - element.offsetWidth - GAP);
    const top = Math.min(box.bottom + 2, innerHeight - element.offsetHeight - GAP);
    element.style.left = `${Math.max(GAP, left)}px`;
    element.style.top = `${Math.max(GAP, top)}px`;
  }

  return {
    element,
    /** @param {string} name @param {HTMLElement} opener */
    toggle(name, opener) {
      if (open?.name === name) {
        close(true);
        return;
      }
      open = { name, opener };
      const bounds = draw(name);
      element.hidden = false;
      place(opener);
      addEventListener("pointerdown", outside, true);
      bounds.focus();
    },
    close() {
      close(false);
    },
  };
}

/** @param {Desk} desk @param {Column} column @param {(look: Partial<Look>) => void} done @param {() => void} fit */
function deeds(desk, column, done, fit) {
  const { look } = desk;
  const columns = [...desk.sheet.columns.values()];
  const { name } = column;
  const order = look.sort.find((one) => one.name === name);
  const others = look.sort.filter((one) => one.name !== name);
  const visible = shown(look, columns);
  const staying = frozen(look, columns);
  const last = visible.findIndex((one) => one.name === name) === staying - 1;
  const groups = desk.kind.groups.some(([field]) => field === name);
  const pressed = (/** @type {boolean} */ on) => ({ class: "quiet", "aria-pressed": String(on) });
  return h("div", { class: "columndeeds", role: "group", "aria-label": "Column" },
    button("Sort up", () => done({ sort: order && !order.down ? others : [{ name, down: false }] }), pressed(order?.down === false)),
    button("Sort down", () => done({ sort: order?.down ? others : [{ name, down: true }] }), pressed(order?.down === true)),
    last ? button("Freeze no column", () => done({ frozen: 0 }), { class: "quiet" }) : visible.length > 1 && button("Freeze up to here", () => done(frozenUpTo(look, columns, name)), { class: "quiet" }),
    button("Fit width", fit, { class: "quiet" }),
    visible.length > 1 && button("Hide", () => done({ hidden: [...(look.hidden ?? []), name] }), { class: "quiet" }),
    groups && button("Group by it", () => done({ groups: look.groups.includes(name) ? look.groups.filter((one) => one !== name) : [...look.groups, name] }), pressed(look.groups.includes(name))));
}
