/**
 * The back key of the tablet: while a birth is open it leads back within the app, and never out of it.
 *
 * A few entries of the browser's history lie above the page. A press takes one of them away, and nothing else:
 * the page's own way back is then taken, and where it has none, it stays and says that the birth goes on.
 */

// Common practice, no source: more presses than a hand gives in a row before it touches the screen again.
const DEPTH = 8;

/**
 * Watch the back key. `isOpen()` tells whether a birth is open, `onStay()` is called where nothing leads back.
 * What is given, `fill()`, is called whenever a birth may have been opened.
 */
export function openRetreat({ root, isOpen, onStay }) {
  let isTouched = false;
  let last = depth();

  function fill() {
    // What a page lays down untouched is skipped by some browsers, and what lies there already with it.
    if (!isOpen() || (!isTouched && depth() > 0)) return;
    // Every page is drawn anew, so no place on it is worth going back to.
    history.scrollRestoration = "manual";
    while (depth() < DEPTH) history.pushState({ above: depth() + 1 }, "");
    last = depth();
  }

  function touch() {
    isTouched = true;
    fill();
  }

  function move() {
    const before = last;
    last = depth();
    // The key for forward leads nowhere.
    if (last >= before) return;
    isTouched = false;
    const way = [...root.querySelectorAll("button:enabled:has([data-sign=back])")].at(-1);
    if (way) way.click();
    else if (isOpen()) onStay();
    // No birth is open any more: what still lies above the page is not in the way for long.
    else if (last > 0) history.go(-last);
    fill();
  }

  addEventListener("popstate", move);
  // These are what a browser takes for the touch of a person.
  for (const name of ["pointerup", "keydown"]) addEventListener(name, touch, true);
  return { fill };
}

/** Tell how many entries lie below this one that a press may take away; they outlast a reload. */
function depth() {
  return history.state?.above ?? 0;
}
