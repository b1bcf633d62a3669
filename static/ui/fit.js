/**
 * Step the type of a live screen down until nothing is cut off, and keep the words of keys whole.
 *
 * The live screen does not scroll, so a language with longer words, a second line of advice or a
 * small phone must make room by rank: first the second lines go, then the large ones shrink.
 */

const TIGHTEST = 6;
// What Undo takes back may be long; that alone never shrinks what is read from afar, and goes where it has no room.
const WATCHED = ".now, .key:not(.undo), .advice, .counts";

// Letters of a key that are smaller than this are harder to read than a broken word; Start is far larger than they are.
const SMALLEST = 0.75;
const SMALLEST_START = 0.5;
// Widths in px are compared to this.
const HAIR = 0.1;

/** Settle a page that is on the screen: {placed?} says what it has to do besides. */
export function settle(root, { placed }) {
  keepWhole(root);
  placed?.();
}

/** A word that would be broken gets a wider key where the row allows it, then smaller letters. */
function keepWhole(root) {
  const all = [...root.querySelectorAll(".start-word, .key .label:not(:has(.start-word))")];
  for (const word of all) word.style.fontSize = "";
  // Letters that were asked to be large stay so; Start is larger than they are.
  const words = grows() ? all.filter((word) => word.matches(".start-word")) : all;
  const rows = [...root.querySelectorAll(".home, .answers")];
  for (const row of rows) row.classList.remove("long-words");
  root.classList.add("unbroken");
  for (const row of new Set(words.filter((word) => tooLong(word) > 1).map((word) => word.closest(".home, .answers")))) row?.classList.add("long-words");
  const times = words.map(tooLong);
  words.forEach((word, index) => {
    const scale = 0.97 / times[index];
    if (times[index] > 1 && scale >= (word.matches(".start-word") ? SMALLEST_START : SMALLEST)) word.style.fontSize = `${scale * parseFloat(getComputedStyle(word).fontSize)}px`;
  });
  root.classList.remove("unbroken");
}

/** How many times as long as the room in its key the longest word is. */
function tooLong(word) {
  const key = word.closest(".key");
  const { paddingInlineStart, paddingInlineEnd, borderInlineWidth } = getComputedStyle(key);
  const inner = key.getBoundingClientRect().width - parseFloat(paddingInlineStart) - parseFloat(paddingInlineEnd) - 2 * parseFloat(borderInlineWidth);
  const range = document.createRange();
  range.selectNodeContents(word);
  return range.getBoundingClientRect().width / (Math.min(word.getBoundingClientRect().width, inner) + HAIR);
}

/**
 * Fit a page that is on the screen; sets data-tight to how far it had to go. With large letters the screen grows instead.
 * Where that is not enough, as under three strips on a phone, data-over lets it scroll: better than a line that nobody can read.
 */
export function fit(node) {
  delete node.dataset.over;
  if (grows()) {
    node.dataset.tight = "0";
    return;
  }
  for (let tight = 0; tight <= TIGHTEST; tight += 1) {
    node.dataset.tight = String(tight);
    if (![...node.querySelectorAll(WATCHED)].some(isCut)) break;
  }
  if (node.dataset.tight === String(TIGHTEST) && isOver(node)) node.dataset.over = "";
  const undo = node.querySelector(".undo");
  undo?.classList.remove("brief");
  if (undo && isCut(undo)) undo.classList.add("brief");
}

function grows() {
  return document.documentElement.dataset.letters === "large";
}

function isOver(node) {
  return node.scrollHeight > node.clientHeight + 1 || [...node.querySelectorAll(WATCHED)].some(isCut);
}

function isCut(element) {
  const slack = 2;
  const tails = element.matches(".now") ? parseFloat(getComputedStyle(element).paddingBlockEnd) : 0;
  return element.scrollWidth > element.clientWidth + slack || bottomOf(element) > element.getBoundingClientRect().bottom - tails + slack;
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
