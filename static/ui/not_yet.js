/**
 * Mark the lines that are not yet in the language of the page: withdrawn, or never translated.
 *
 * They stand in the source language, with a border and a short word; a screen reader
 * and the order of letters go by the language in which they really are.
 */

import { notYet } from "./dom.js";

// Shorter texts are taken for these only as a whole: a "No" stands in many words.
const LEAST_PART = 6;

/** Mark what stands below a node; the words remember what they gave in the source language. */
export function markForeign(root, words) {
  if (words.foreign.size === 0) return;
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
  const found = [];
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (isForeign(node.data, words.foreign) && !node.parentElement.closest(".not-yet, svg, option")) found.push(node);
  }
  for (const node of found) {
    const place = document.createComment("");
    node.replaceWith(place);
    place.replaceWith(notYet(words, node));
  }
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

function isForeign(text, foreign) {
  if (text.trim() === "") return false;
  return foreign.has(text) || [...foreign].some((said) => said.length >= LEAST_PART && text.includes(said));
}
