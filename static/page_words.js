/**
 * Give each page its words, and let the document follow: language, direction, title.
 *
 * A draft speaks in practice alone. The source line is one tap away: while it is asked for,
 * the page stands whole in the source language, until it is tapped again or another page comes.
 */

// These show nothing but practice.
const PRACTISED = ["practice", "debrief"];
// These are about the tablet or about other births, whatever birth is on the desk.
const ELSEWHERE = ["home", "cases", "settings", "kit", "card", "locked"];

/** Make the words of the pages: {of, live, opening, take, turn, isTurned, follow}. */
export function openPageWords(parts) {
  const { languages, isDemo } = parts;
  let turned = null;
  let lang = null;
  let marked = null;
  let marking = null;

  /** Tell whether nothing on a page is real, so that a draft may speak; `arg` may name another case. */
  function isPractice(page, arg, theCase) {
    if (isDemo || PRACTISED.includes(page)) return true;
    const id = typeof arg === "object" ? arg?.id : null;
    return theCase?.mode === "practice" && !ELSEWHERE.includes(page) && (!id || id === theCase.case);
  }

  /** Give the words of a page. */
  function of(page, arg, theCase) {
    if (turned !== page) turned = null;
    return turned ? languages.source() : languages.words(page, isPractice(page, arg, theCase));
  }

  /** Give the words in which a birth is spoken of. */
  function live() {
    return languages.words("pull", isPractice("pull", null, parts.desk.theCase()));
  }

  /** Speak another language from here on; whatever is open stays open. */
  async function take(tag) {
    try {
      await languages.choose(tag);
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
  function turn(page) {
    turned = turned === page ? null : page;
  }

  /** Let the document say in which language it is, and what of it is not yet in that language. */
  function follow(words, root) {
    marked = words;
    if (words.kind !== "source") marking ??= import("./ui/not_yet.js").then(({ keepMarking }) => keepMarking(root, () => marked));
    // What was said in the source language on the screen before is no news of this one.
    words.foreign.clear();
    if (words.lang === lang) return;
    lang = words.lang;
    Object.assign(document.documentElement, { lang, dir: words.dir });
    document.title = words.text("app.name");
  }

  return { of, live, opening, take, turn, isTurned: () => turned !== null, follow };
}
