/**
 * Keep the screen awake while a case is open, and say when that is refused.
 *
 * The browser takes the lock away whenever the page is hidden, so it is asked
 * for again each time the page is seen.
 */

/**
 * Make a keeper: {start, stop}. `onWake(state)` hears "held", "lost", "refused" or "absent".
 */
export function wakeKeeper(onWake) {
  let wanted = false;
  let lock = null;
  let asking = false;

  async function ask() {
    if (!wanted || lock || asking || document.visibilityState !== "visible") return;
    if (!navigator.wakeLock) { onWake("absent"); return; }
    asking = true;
    try {
      lock = await navigator.wakeLock.request("screen");
    } catch {
      // A low battery is the usual reason; there is nothing to do but to say so.
      onWake("refused");
      return;
    } finally {
      asking = false;
    }
    lock.addEventListener("release", lose);
    onWake("held");
    if (!wanted) await lock.release();
  }

  function lose() {
    lock = null;
    if (!wanted) return;
    onWake("lost");
    ask();
  }

  /** Keep the screen awake from now on. */
  function start() {
    wanted = true;
    document.addEventListener("visibilitychange", ask);
    return ask();
  }

  /** Let the screen sleep again. */
  async function stop() {
    wanted = false;
    document.removeEventListener("visibilitychange", ask);
    await lock?.release();
  }

  return { start, stop };
}
