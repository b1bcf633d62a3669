/**
 * Give each page its words, and let the document follow: language, direction, title.
 *
 * A draft speaks in practice alone. The source line is one tap away: while it is asked for,
 * the page stands whole in the source language, until it is tapped again or another page comes.
 */

import { isOfDesk } from "./about.js";

// These show nothing but practice, unless the advice of a real birth reaches them.
const PRACTISED = ["practice", "debrief"];

/** Make the words of the pages: {of, live, opening, take, turn, isTurned, follow, mark}. */
export function openPageWords(parts) {
  const { languages, isDemo } = parts;
  let turned = null;
  let lang = null;
  let marked = null;
  let marking = null;
  let markNow = null;

  /** Tell whether nothing on a page is real, so that a draft may speak; `arg` may name another case. */
  function isPractice(page, arg, theCase) {
    if (isDemo) return true;
    if (PRACTISED.includes(page)) return theCase?.mode !== "real";
    return theCase?.mode === "practice" && isOfDesk(page, arg, theCase);
  }

  /** Give the words of a page. */
  function of(page, arg, theCase) {
    if (turned !== seatOf(page, arg)) turned = null;
    return turned ? languages.source() : languages.words(page, isPractice(page, arg, theCase));
  }

  /** Give the words in which a birth is spoken of. */
  function live() {
    return languages.words("pull", isPractice("pull", null, parts.desk.theCase()));
  }

  /** Speak another language from here on; whatever is open stays open. */
  async function take(tag) {
    try {
      // Who has asked for yet another one meanwhile gets that one.
      if (!await languages.choose(tag)) return;
    } catch {
      // Its words are not on this tablet and not to be had now: the language of before goes on.
      return;
    }
    parts.settings.set("language", tag);
    parts.voice.load(live());
  }

  /** Name the language in which a case of this mode opens. */
  function opening(mode) {
    return languages.words("before", isDemo || mode === "practice").lang;
  }

  /** Show a page in the source language, or in its own again. */
  function turn(page, arg) {
    turned = turned === seatOf(page, arg) ? null : seatOf(page, arg);
  }

  /** Mark what stands on the screen in the source language, before its size is looked at. */
  function mark(root) {
    markNow?.(root, marked);
  }

  /** Read what marks lines; once it is there, `onMarked()` hears that some may have grown. */
  async function readMarking(root, onMarked) {
    try {
      const { keepMarking, markForeign } = await import("./ui/not_yet.js");
      markNow = markForeign;
      keepMarking(root, () => marked);
      onMarked();
    } catch (error) {
      // The next drawing asks for it again.
      marking = null;
      console.error(error);
    }
  }

  /** Let the document say in which language it is, and what of it is not yet in that language. */
  function follow(words, root, onMarked) {
    marked = words;
    if (words.kind !== "source") marking ??= readMarking(root, onMarked);
    // What was said in the source language on the screen before is no news of this one.
    words.foreign.clear();
    if (words.lang === lang) return;
    lang = words.lang;
    Object.assign(document.documentElement, { lang, dir: words.dir });
    document.title = words.text("app.name");
  }

  return { of, live, opening, take, turn, isTurned: () => turned !== null, follow, mark };
}

/** What is opened on the live screen has no room for the key that leads back: it is a place of its own. */
function seatOf(page, arg) {
  return page === "pull" && typeof arg === "string" ? `${page}/${arg}` : page;
}
