/** Pictures in words: what each is, how far it is, what its scale and its colours are worth; and which of them are shown together. */

import { capital, size } from "../../lib/words.js";

/** @typedef {import("./types.js").Attachment} Attachment */

export const VISIBLE = "visible micrograph";
export const UV = "UV micrograph";
export const UNCALIBRATED = "uncalibrated";

/** What is shown of lamps, resin and dust wherever pictures of sections are taken or looked at. */
export const CAUTION = "UV lamps harm eyes and skin; embedding resin and sanding dust (old paint may hold lead) harm lungs and skin. Follow local codes and your laboratory's rules, and leave licensed work to who is licensed.";

/** @param {Pick<Attachment, "kind">} one */
export function isMicrograph(one) {
  return one.kind === VISIBLE || one.kind === UV;
}

/** Whether it can be looked at in the viewer. @param {Pick<Attachment, "kind" | "prepared" | "width">} one */
export function isShown(one) {
  return one.prepared === "ready" && one.width !== null && one.kind !== "document";
}

/** 'Picture 3, UV micrograph'. @param {Pick<Attachment, "number" | "kind">} one */
export function called(one) {
  return `${one.kind === "document" ? "Document" : "Picture"} ${one.number}, ${one.kind === "document" ? "" : one.kind}`.replace(/, $/, "");
}

/** How far it is, by shape and word. @param {Pick<Attachment, "prepared">} one */
export function stateMark(one) {
  if (one.prepared === "ready") return { mark: "●", word: "ready" };
  return one.prepared === "refused" ? { mark: "✕", word: "refused" } : { mark: "○", word: "being looked into" };
}

/** @param {number} value @param {number} [digits] significant ones */
export function figure(value, digits = 3) {
  if (!Number.isFinite(value)) return "";
  const rounded = Number(value.toPrecision(digits));
  return Math.abs(rounded) >= 1000 ? rounded.toLocaleString("en-GB", { maximumFractionDigits: 0 }) : String(rounded);
}

/** Lengths along a picture: tenths up to a hundred, whole ones beyond. @param {number} value in µm */
export function micrometres(value) {
  return `${value < 100 ? Number(value.toFixed(1)) : Math.round(value).toLocaleString("en-GB")} µm`;
}

/** The scale and how it is known. @param {Pick<Attachment, "um_per_pixel" | "scale_by" | "scale_line" | "microscope_name">} one */
export function scaleTold(one) {
  if (one.um_per_pixel === null) return "No scale: lengths are in px only, until one is set under Scale.";
  const how = { "stage micrometer": "by the line drawn on a stage micrometer", microscope: `by the microscope ${one.microscope_name ?? ""}`.trim(), stated: "as somebody stated" }[one.scale_by] ?? "";
  return `${figure(one.um_per_pixel, 4)} µm per px, ${how}.`;
}

/** What its colours are worth. @param {Pick<Attachment, "colour_state" | "colour_residual" | "colour_target" | "colour_from" | "troubles">} one */
export function coloursTold(one) {
  if (one.colour_state !== "calibrated" && one.colour_state !== "white-balanced") return one.colour_target || one.colour_from ? one.troubles.some((each) => each.kind === "picture-colour") ? "Colours uncalibrated: the target could not be measured; Colours says why." : "Colours uncalibrated: the correction is being worked out." : "Colours uncalibrated: no colour target was named; one is marked under Colours.";
  const { mean, max } = one.colour_residual ?? {};
  const left = [typeof mean === "number" ? `mean ΔE00 ${figure(mean, 2)}` : "", typeof max === "number" ? `largest ${figure(max, 2)}` : ""].filter(Boolean).join(", ");
  const how = one.colour_state === "calibrated" ? "calibrated" : "white-balanced only (hues are the camera's own)";
  const parts = [`Colours ${how} by ${one.colour_from && !one.colour_target ? "the target of another picture" : "a target in the picture"}`, left ? `what is left over: ${left}` : "no other patch checks it, so nothing is known of what is left over"];
  return `${parts.filter(Boolean).join("; ")}.`;
}

/** Width, height, bits and bytes. @param {Pick<Attachment, "width" | "height" | "bits" | "size">} one */
export function measuresTold(one) {
  const pixels = one.width && one.height ? `${one.width.toLocaleString("en-GB")} × ${one.height.toLocaleString("en-GB")} px` : "";
  return [pixels, one.bits ? `${one.bits} bits a channel` : "", size(one.size)].filter(Boolean).join(", ");
}

/** Pictures in the order in which they are offered: visible, UV, photographs, documents; by number. @template {Pick<Attachment, "kind" | "number">} T @param {readonly T[]} all @returns {T[]} */
export function inOrder(all) {
  const place = (/** @type {T} */ one) => [VISIBLE, UV, "photograph"].indexOf(one.kind) + 1 || 4;
  return [...all].sort((a, b) => place(a) - place(b) || a.number - b.number);
}

/**
 * The picture that is laid over another: the UV one that is registered on it, else the first of the other light.
 * @param {readonly Attachment[]} all @param {Attachment} shown @param {readonly import("./types.js").Registration[]} registrations
 */
export function companion(all, shown, registrations) {
  const joined = registrations.filter((one) => one.fixed === shown.id || one.moving === shown.id).map((one) => (one.fixed === shown.id ? one.moving : one.fixed));
  if (!isMicrograph(shown)) return null;
  const wanted = shown.kind === UV ? VISIBLE : UV;
  const fits = inOrder(all).filter((one) => one.id !== shown.id && isShown(one) && isMicrograph(one));
  return fits.find((one) => joined.includes(one.id)) ?? fits.find((one) => one.kind === wanted) ?? null;
}

/** Where one is in a picture: '1,204 px from the left, 388 px from the top; 602 µm, 194 µm'. @param {readonly [number, number]} point @param {number | null} scale in µm per px */
export function placeTold([x, y], scale) {
  const pixels = `${Math.round(x).toLocaleString("en-GB")} px from the left, ${Math.round(y).toLocaleString("en-GB")} px from the top`;
  return scale === null ? pixels : `${pixels}; ${micrometres(x * scale)}, ${micrometres(y * scale)}`;
}

/** What kind a file most likely is, by its name; a person says it. @param {string} name */
export function kindOf(name) {
  const lower = name.toLowerCase();
  if (!/\.(tiff?|png|jpe?g)$/.test(lower)) return "document";
  return /(^|[^a-z])(uv|fluor)/.test(lower) ? UV : VISIBLE;
}

/** @param {string} kind */
export function kindTold(kind) {
  return capital(kind);
}
