/**
 * A foot switch that stands for the PULL key: a small keyboard of one or two keys.
 *
 * It can begin and end a pull and nothing else. A key that is held repeats, and a worn
 * switch bounces; neither counts. Off until it is switched on in the settings.
 */

import { isBounce } from "./ui/key.js";

const STEPS = /^(PageDown|PageUp|Arrow(Up|Down|Left|Right)|F([1-9]|1[0-2]))$/;

/** Open the foot switch: {begin, isOn, told}. `stamp()` gives the moment of a step. */
export function openFoot({ settings, stamp }) {
  let seen = null;

  const isOn = () => settings.get("foot") === "on";

  /** Hear the switch from now on: `onStep(stamp)` where `isLive()`; elsewhere it is only seen. */
  function begin({ onStep, isLive }) {
    addEventListener("keydown", (event) => {
      if (!isOn() || !STEPS.test(event.key) || event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return;
      // On the live screen such a key must neither scroll nor load the page anew.
      if (isLive()) event.preventDefault();
      if (event.repeat) return;
      seen = stamp();
      // The key on the screen and the switch are one: a foot right after a finger is a bounce.
      if (isLive() && !isBounce("pull")) onStep(seen);
    }, true);
  }

  /** Say when it was last seen: the id of a text and its values. */
  function told() {
    if (seen === null) return ["foot.unseen", {}];
    const n = Math.max(0, Math.floor((stamp().tick - seen.tick) / 1000));
    return n < 60 ? ["foot.seen", { n }] : ["foot.seen_long", { n: Math.floor(n / 60) }];
  }

  return { begin, isOn, told };
}
