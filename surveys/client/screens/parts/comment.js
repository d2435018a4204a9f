/** One comment, and the text of one: words, links, names. Nothing in it is ever read as markup. */

import { ago, moment } from "../../lib/words.js";
import { parts } from "../../model/talk.js";
import { h, time } from "./dom.js";

/** @typedef {import("../../model/talk.js").Comment} Comment */

/** @param {Comment} one */
export function commentView(one) {
  const told = (/** @type {string} */ at) => time(at, ago(at, Date.now()), moment(at));
  return h("article", { class: "comment", "aria-label": `Comment by ${one.created_by}` },
    h("p", { class: "by" }, h("strong", null, one.created_by), ", ", told(one.created_at), one.edited_at && [", edited ", told(one.edited_at)],
      one.thread === null && one.resolved_at && [" · ", h("span", { class: "state" }, h("span", { class: "mark", "aria-hidden": "true" }, "●"), ` resolved by ${one.resolved_by ?? "somebody"}`), ", ", told(one.resolved_at)]),
    talkText(one.text, one.mentions));
}

/** @param {string} text @param {readonly import("../../model/talk.js").Called[]} mentions */
export function talkText(text, mentions) {
  const names = new Map(mentions.map((one) => [one.username.toLowerCase(), one.name]));
  return h("div", { class: "talktext" }, parts(text, mentions).map((part) => {
    if (part.kind === "link") return h("a", { href: part.href, target: "_blank", rel: "noopener noreferrer nofollow", title: "Opens in a new window" }, part.text);
    if (part.kind === "mention") return h("strong", { class: "called", title: names.get(part.text.slice(1).toLowerCase()) ?? "" }, part.text);
    return part.text;
  }));
}
