/**
 * Mark the lines that are not yet in the language of the page: withdrawn, or never translated.
 *
 * They stand in the source language, with a border and a short word; a screen reader
 * and the order of letters go by the language in which they really are.
 */

import { notYet } from "./dom.js";

// A sign or a number is of no language.
const LETTER = /\p{L}/u;
// What people wrote is theirs; a text that lies within a value is no sentence of the words.
const WRITTEN = "textarea, p[dir=auto]";
// Shorter texts are taken for these only as a whole: a "No" stands in many words.
const LEAST_PART = 6;

/** Mark what stands below a node; the words remember what they gave in the source language. */
export function markForeign(root, words) {
  if (words.foreign.size === 0) return;
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
  const found = [];
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const within = node.parentElement;
    if (!LETTER.test(node.data) || within.closest(`.not-yet, option, ${WRITTEN}`)) continue;
    if (!isForeign(node.data, words.foreign, within.closest("bdi") !== null)) continue;
    if (within.closest("svg")) markDrawn(words, within);
    else found.push(node);
  }
  for (const node of found) {
    const place = document.createComment("");
    node.replaceWith(place);
    place.replaceWith(notYet(words, node));
  }
}

/** A drawing has no room for more words: there the letters are underlined, as the border of others is drawn. */
function markDrawn(words, label) {
  label.setAttribute("lang", words.source.lang);
  label.classList.add("not-yet-drawn");
}

/** Mark whatever comes onto the screen from now on, before it is painted; `wordsNow()` gives the words of the page. */
export function keepMarking(root, wordsNow) {
  const watcher = new MutationObserver(() => {
    markForeign(root, wordsNow());
    // What it changed itself is no news.
    watcher.takeRecords();
  });
  markForeign(root, wordsNow());
  watcher.observe(root, { childList: true, characterData: true, subtree: true });
}

function isForeign(text, foreign, isWhole) {
  return foreign.has(text) || !isWhole && [...foreign].some((said) => said.length >= LEAST_PART && text.includes(said));
}
