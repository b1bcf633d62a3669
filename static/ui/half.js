/**
 * Keep what is half typed, so that a page drawn anew does not lose it.
 */

let kept = new Map();
let seat = null;

/** Say what the screen is about now; what was half typed elsewhere is let go. */
export function halfAt(...place) {
  const now = JSON.stringify(place);
  if (now !== seat) letGo();
  seat = now;
}

/** Give what is kept under a name on this screen, at first a copy of `empty`; what is set in it stays. */
export function half(name, empty) {
  if (!kept.has(name)) kept.set(name, { ...empty });
  return kept.get(name);
}

/** Let go of what was half typed: it was answered. */
export function letGo() {
  kept = new Map();
}
