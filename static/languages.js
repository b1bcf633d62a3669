/**
 * Choose the language that speaks on a page: whole, never half.
 *
 * A page speaks the first language of a chain (the chosen, its fallback, the source) that may say
 * its list: a ready one whose list is whole; a draft only where nothing is real. Knows no page.
 */

import { makeWords } from "./language.js";

export const SOURCE = "en";

/**
 * Read the languages of a release: {list, chosen, choose, words, source, look, coming}.
 *
 * `coming()` tells whether a language came behind the first picture. `contents` is the release's list {packs, pages}; `read(path)` reads a JSON file of it.
 */
export async function readLanguages({ contents, read, language }) {
  const told = new Map(contents.packs.map((one) => [one.tag, one]));
  const packs = new Map();
  const made = new Map();
  const undrawn = new Set();
  let chosen = SOURCE;
  let asked = 0;
  let coming = Promise.resolve(false);

  /** Give the chosen language, what stands in for it, and the source; a draft stands in for nothing. */
  function chain(tag) {
    const behind = (told.get(tag)?.fallback ?? []).filter((one) => told.has(one) && told.get(one).kind !== "draft");
    return [...new Set([...(told.has(tag) ? [tag] : []), ...behind, SOURCE])];
  }

  const reading = new Map();

  /** Read a pack once, however many ask; one that could not be read may be asked for again. */
  function hold(tag) {
    if (!reading.has(tag)) {
      reading.set(tag, read(`packs/${tag}.json`).then((pack) => packs.set(tag, pack)));
      reading.get(tag).catch(() => reading.delete(tag));
    }
    return reading.get(tag);
  }

  /** Take a language, and whatever of its stand-ins can be read; of two that are asked for the newer wins: gives whether this one did. */
  async function choose(tag) {
    asked += 1;
    const turn = asked;
    const [first, ...behind] = chain(tag);
    await Promise.all([hold(first), ...behind.map((one) => hold(one).catch(() => {}))]);
    if (turn !== asked) return false;
    take(first);
    return true;
  }

  function take(tag) {
    chosen = tag;
    // English starts without the letters of others, and so without waiting for them.
    if (chosen !== SOURCE) letters().then(({ shipLetters }) => shipLetters()).catch(() => {});
  }

  /**
   * Take the language of the last time; where it cannot be read, whatever stands in for it speaks.
   *
   * A draft is not kept on the tablet and may be long in coming: nobody waits for it.
   */
  async function begin(tag) {
    const [first, ...behind] = chain(tag);
    take(first);
    const own = hold(first).then(() => true, () => false);
    const isDraft = told.get(first)?.kind === "draft";
    if (isDraft) coming = own;
    await Promise.all([isDraft ? null : own, ...behind.map((one) => hold(one).catch(() => {}))]);
  }

  const letters = () => import("./letters.js");

  function mayDraft(tag, isPractice) {
    return told.get(tag).kind !== "draft" || isPractice;
  }

  function mayList(tag, page) {
    const { kind, lists = {} } = told.get(tag);
    return kind !== "ready" || (lists[contents.pages?.[page]] ?? Object.values(lists).every(Boolean));
  }

  /** Give the words of a page; `isPractice` says that nothing on it is real. */
  function words(page, isPractice = false) {
    return of(chain(chosen).find((tag) => packs.has(tag) && !undrawn.has(tag) && mayDraft(tag, isPractice) && mayList(tag, page)) ?? SOURCE);
  }

  function of(tag) {
    if (!made.has(tag)) made.set(tag, makeWords(packs.get(tag), packs.get(SOURCE)));
    return made.get(tag);
  }

  /** Look which languages this tablet has letters for; tells whether that was news. */
  async function look() {
    const before = undrawn.size;
    const { draws } = await letters();
    for (const { tag, sample } of contents.packs) if (!await draws(sample)) undrawn.add(tag);
    return undrawn.size !== before;
  }

  /** Say how far a language is: "ready", "some", "draft", or "letters" when this tablet cannot write it. */
  function state({ tag, kind, lists = {} }) {
    if (undrawn.has(tag)) return "letters";
    if (kind === "draft") return "draft";
    return Object.values(lists).every(Boolean) ? "ready" : "some";
  }

  await Promise.all([hold(SOURCE), begin(language)]);
  return {
    list: () => contents.packs.map((one) => ({ ...one, state: state(one) })),
    chosen: () => chosen,
    source: () => of(SOURCE),
    choose, words, look, coming: () => coming,
  };
}
