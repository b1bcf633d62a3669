/**
 * Step the type of a live screen down until nothing is cut off.
 *
 * The screen does not scroll, so a language with longer words, a second line of advice or a
 * small phone must make room by rank: first the second lines go, then the large ones shrink.
 */

const TIGHTEST = 3;
const WATCHED = ".now, .key, .advice, .counts";

/** Fit a page that is on the screen; sets data-tight to how far it had to go. */
export function fit(node) {
  for (let tight = 0; tight <= TIGHTEST; tight += 1) {
    node.dataset.tight = String(tight);
    if (![...node.querySelectorAll(WATCHED)].some(isCut)) return;
  }
}

function isCut(element) {
  const slack = 2;
  return element.scrollWidth > element.clientWidth + slack || bottomOf(element) > element.getBoundingClientRect().bottom + slack;
}

/** The numbers' own line box is taller than their digits, so the text is what is measured. */
function bottomOf(element) {
  const last = element.querySelector(".what, .more, small, .label, .line, p") ? element.lastElementChild : element;
  return last === null ? 0 : last.getBoundingClientRect().bottom;
}
