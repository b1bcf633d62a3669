/**
 * Step the type of a live screen down until nothing is cut off.
 *
 * The screen does not scroll, so a language with longer words, a second line of advice or a
 * small phone must make room by rank: first the second lines go, then the large ones shrink.
 */

const TIGHTEST = 4;
// What Undo takes back may be long; that alone never shrinks what is read from afar, and goes where it has no room.
const WATCHED = ".now, .key:not(.undo), .advice, .counts";

/** Fit a page that is on the screen; sets data-tight to how far it had to go. With large letters the screen grows instead. */
export function fit(node) {
  if (grows()) {
    node.dataset.tight = "0";
    return;
  }
  for (let tight = 0; tight <= TIGHTEST; tight += 1) {
    node.dataset.tight = String(tight);
    if (![...node.querySelectorAll(WATCHED)].some(isCut)) break;
  }
  const undo = node.querySelector(".undo");
  undo?.classList.remove("brief");
  if (undo && isCut(undo)) undo.classList.add("brief");
}

function grows() {
  return document.documentElement.dataset.letters === "large";
}

function isCut(element) {
  const slack = 2;
  return element.scrollWidth > element.clientWidth + slack || bottomOf(element) > element.getBoundingClientRect().bottom + slack;
}

/** The numbers' own line box is taller than their digits, so the text is what is measured. */
function bottomOf(element) {
  if (!element.querySelector(".what, .more, small, .label, .line, p")) return element.getBoundingClientRect().bottom;
  return Math.max(...[...element.children].map((child) => child.getBoundingClientRect().bottom));
}

/** Leave out whole rows of a list, the oldest first, until none is cut through. */
export function fitRows(aside) {
  const rows = [...aside.querySelectorAll(".todo"), ...aside.querySelectorAll("li"), ...aside.querySelectorAll("h2")];
  for (const row of rows) row.hidden = false;
  if (grows()) return;
  for (const row of rows) {
    if (aside.scrollHeight <= aside.clientHeight + 1) return;
    row.hidden = true;
  }
}

/** Make the letters of a label smaller until it ends within its drawing. */
export function fitLabels(drawing) {
  const { x, width } = drawing.querySelector("svg").viewBox.baseVal;
  for (const label of drawing.querySelectorAll("text")) {
    label.style.fontSize = "";
    const box = label.getBBox();
    const over = box.x + box.width - (x + width);
    if (over > 0) label.style.fontSize = `${parseFloat(getComputedStyle(label).fontSize) * (1 - over / box.width)}px`;
  }
}
