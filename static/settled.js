/**
 * Keep a finger that was on its way before the screen changed from doing what nobody meant.
 *
 * A screen that changes by itself has other keys under a finger that comes down right after; so has one that
 * was just tapped, when a wet glove bounces. Such a landing counts for nothing. A key that kept its place takes
 * every tap, and so do the digits of a keypad, which are tapped fast.
 */

// Common practice, no source: how long a hand that is on its way cannot be called back.
const SETTLE_MS = 400;
// Common practice, no source: the width of a fingertip, and how far a bounce strays.
const NEAR_PX = 60;
// Common practice, no source: so little that the finger still meets the key it was sent to.
const PLACE_PX = 12;
// Common practice, no source: what is drawn this soon after a tap was asked for by it.
const ASKED_MS = 1000;
const KEYS = "button, summary, a[href]";

/** Watch the landings on a root, on the pages where a wrong tap is a wrong entry in a birth: {leave} is told before the root is drawn anew. */
export function watchLandings(root, pages) {
  let places = new Map();
  let tap = { at: -Infinity, x: 0, y: 0, name: "" };
  let isIgnored = false;
  let timer = null;

  /** Remember where each key stands, when the screen is about to change without having been asked. */
  function leave() {
    if (!pages.includes(root.dataset.page) || performance.now() - tap.at < ASKED_MS) return;
    if (root.dataset.settling === undefined) {
      places = new Map([...root.querySelectorAll(KEYS)].map((key) => [nameOf(key), key.getBoundingClientRect()]));
    }
    root.dataset.settling = "";
    clearTimeout(timer);
    timer = setTimeout(() => delete root.dataset.settling, SETTLE_MS);
  }

  function land(event) {
    const key = event.target.closest?.(KEYS);
    isIgnored = Boolean(key) && pages.includes(root.dataset.page) && (isMoved(key) || isBounce(key, event));
    if (isIgnored) stop(event);
    else if (key) tap = { at: performance.now(), x: event.clientX, y: event.clientY, name: nameOf(key) };
  }

  function click(event) {
    if (isIgnored) stop(event);
    isIgnored = false;
  }

  function isMoved(key) {
    if (root.dataset.settling === undefined) return false;
    const before = places.get(nameOf(key));
    const now = key.getBoundingClientRect();
    return !before || Math.abs(before.x - now.x) > PLACE_PX || Math.abs(before.y - now.y) > PLACE_PX;
  }

  function isBounce(key, { clientX, clientY }) {
    if (key.matches(".digit") || nameOf(key) === tap.name) return false;
    return performance.now() - tap.at < SETTLE_MS && Math.hypot(clientX - tap.x, clientY - tap.y) < NEAR_PX;
  }

  root.addEventListener("pointerdown", land, true);
  root.addEventListener("click", click, true);
  return { leave };
}

function nameOf(key) {
  return key.dataset.key ?? key.textContent;
}

function stop(event) {
  event.preventDefault();
  event.stopImmediatePropagation();
}
