/**
 * Wall card: one A4 page for the wall and for the day the battery is dead.
 *
 * Every number comes from the protocol in force and from what the station has set for the
 * post. On the screen the sheet is shown in the size in which it is printed.
 */

import { el, say, value } from "../ui/dom.js";
import { header } from "../ui/header.js";
import { key } from "../ui/key.js";
import { afterPart } from "./card_after.js";
import { beforePart } from "./card_before.js";
import { livePart } from "./card_live.js";

const TABLE_LANGUAGE = "en";
// From easy to read at arm's length down to what is still legible on paper, in points.
const SIZES_PT = [9.2, 8.8, 8.4, 8, 7.6, 7.2, 6.8, 6.4, 6, 5.6, 5.2];

/** Draw the wall card of this post. */
export function cardPage(view) {
  const { words, arg } = view;
  const from = arg?.from ?? { page: "settings", arg: null };
  const sheet = el("article", { class: "card-sheet" }, head(view), beforePart(view), livePart(view), afterPart(view), foot(view));
  const main = el("main", { class: "card-view", tabindex: 0, role: "region", "aria-label": words.text("card.title") }, sheet);
  const node = el("div", { class: "screen card-page scrolls" }, header(words, { title: words.text("card.title"), onBack: () => view.go(from.page, from.arg) }),
    el("div", { class: "record-keys" }, key({ name: "print", sign: "print", look: "next", label: words.text("card.print"), onTap: () => globalThis.print() })), main);
  return { node, placed: () => fit(sheet) };
}

/** Step the type down until the sheet holds everything. */
function fit(sheet) {
  for (const size of SIZES_PT) {
    sheet.style.setProperty("--card-type", `${size}pt`);
    if (sheet.scrollHeight <= sheet.clientHeight && sheet.scrollWidth <= sheet.clientWidth) return;
  }
}

function head({ words, link }) {
  const post = link.post();
  return el("header", { class: "card-head" }, el("h1", { tabindex: "-1" }, words.text("card.title")),
    el("p", {}, post?.post ? [el("bdi", {}, post.post), post.altitude_m === undefined ? null : [words.comma(), value(words.quantity(post.altitude_m, "m"))]] : words.text("card.any_post")));
}

/** What the card was printed from, who signed it, and what it is not. */
function foot({ words, protocol, digest, release }) {
  return el("footer", { class: "card-foot" },
    el("p", { class: "card-caution" }, words.text("app.caution"), " ", words.text("app.unsigned")),
    el("p", {}, say(words, "card.protocol", { name: protocol.id, digest, released: protocol.released, release }), " ",
      words.text("card.sign_off"), ": ", el("span", { lang: TABLE_LANGUAGE, dir: "ltr" }, protocol.sign_off), "."));
}
