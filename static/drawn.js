/**
 * Tell one drawing of the screen from the next: what makes it draw anew, what stays under the hand, and what brings its
 * first words into sight.
 */

/** What makes the screen draw itself anew without a tap. */
export function signed({ findings, notices, theCase }, page) {
  const loud = (findings ?? []).filter((one) => one.level !== "clear").map((one) => one.message + one.value);
  return [page, loud, notices.journal.state, notices.wake, theCase?.timeline.length].join("|");
}

/** Name what the screen tells to do: its page, its heading, the step that is now, and the advice. */
export function toldNow(root) {
  const { limit, level } = adviceOf(root)?.dataset ?? {};
  return [root.dataset.page, root.querySelector("h1")?.textContent, stepOf(root)?.dataset.step, limit, level].join("|");
}

/** Note what the hand has opened and where it is; what is given puts that back, when the same page has been drawn anew. */
export function holdHand(root, page) {
  const focused = document.activeElement?.dataset?.key;
  const isSame = root.dataset.page === page;
  const opened = isSame ? Array.from(root.querySelectorAll("details[open] > summary"), ({ dataset }) => dataset.key) : [];
  return () => {
    for (const name of opened) keyOf(root, name)?.parentElement.setAttribute("open", "");
    if (focused) keyOf(root, focused)?.focus({ preventScroll: true });
  };
}

function keyOf(root, name) {
  return root.querySelector(`[data-key="${CSS.escape(name)}"]`);
}

/**
 * Where a screen is longer than the glass (large letters, the smallest phones), scroll to the step that is now, to the
 * advice, or to the top; nothing moves where it all fits.
 */
export function showFirst(root) {
  scrollTo(0, 0);
  const step = stepOf(root);
  if (step) showStep(step);
  // Letters of the usual size leave room for the numbers above the advice.
  else if (document.documentElement.dataset.letters && !isPullSeen(root)) (adviceOf(root) ?? root.querySelector(".pull > .now"))?.scrollIntoView({ block: "start" });
}

/** A step in sight is left alone: the keyboard would begin at what was scrolled to. */
function showStep(step) {
  const { top, bottom } = step.getBoundingClientRect();
  if (top < 0 || bottom > innerHeight) step.scrollIntoView({ block: "nearest" });
}

function isPullSeen(root) {
  const word = root.querySelector(".pullkey .line");
  return word !== null && word.getBoundingClientRect().bottom <= innerHeight;
}

function stepOf(root) {
  return root.querySelector("[aria-current=step]");
}

function adviceOf(root) {
  return root.querySelector(".pull > .advice:not(.empty)");
}
