/**
 * Say how the kit stands and when it was looked at.
 */

import { isDue } from "../kit.js";
import { dayTime } from "../language.js";
import { say } from "./dom.js";

const DAY_MS = 86400000;

/** Say how a kit stands on the first screen: {title, note, isFine}, the note may be null. */
export function kitLine(words, state, nowMs, days) {
  const { checked_at: at } = state;
  if (at === null) return { title: words.text("home.kit.never"), note: null, isFine: false };
  const gone = daysGone(at, nowMs);
  const isOld = isDue(at, nowMs, days);
  return { title: title(words, state, dayText(words, at, gone)), note: note(words, gone, isOld), isFine: state.complete && !isOld };
}

function title(words, { missing, unsure, open }, day) {
  if (missing.length) return say(words, "home.kit.missing", { day, n: missing.length });
  if (open.length) return say(words, "home.kit.open", { n: open.length });
  if (unsure.length) return say(words, "home.kit.unsure", { day, n: unsure.length });
  return say(words, "home.kit.complete", { day });
}

function note(words, gone, isOld) {
  if (gone < 0) return isOld ? words.text("home.kit.no_date") : null;
  if (isOld) return say(words, "home.kit.old", { n: gone });
  return gone > 1 ? say(words, "home.kit.ago", { n: gone }) : null;
}

function dayText(words, at, gone) {
  if (gone < 0 || gone > 6) return words.text("day.on", { date: dayTime(at).slice(0, 10) });
  if (gone < 2) return words.text(gone === 0 ? "day.today" : "day.yesterday");
  return words.text(`day.d${new Date(at).getDay()}`);
}

/** Count the midnights between two moments, as people count days. */
function daysGone(at, nowMs) {
  const midnight = (ms) => new Date(ms).setHours(0, 0, 0, 0);
  return Math.round((midnight(nowMs) - midnight(at)) / DAY_MS);
}
