/**
 * Decide what is said aloud, and when a stop has been answered.
 *
 * A caution is said once for each message. A stop is said again with each further pull, and
 * stands until somebody names what they do: stopped, or going on.
 */

import { openPull } from "./pulls.js";

const AFTER = ["stopped", "continued"];

/**
 * Give the findings that belong on the screen now, worst first.
 *
 * A routine step that is still to be done is no alarm: it becomes one in a pull. What is
 * not known is shown too once a cup was used, for an empty place would read as all clear.
 */
export function visible(theCase, findings) {
  if (over(theCase)) return [];
  const pulling = openPull(theCase) !== null;
  const hidden = theCase.applications?.length || theCase.pulls.length ? ["clear"] : ["clear", "unknown"];
  return findings.filter((finding) => !hidden.includes(finding.level)
    && (pulling || finding.sound !== "pulling"));
}

/** Give the findings on the screen that the log does not yet hold as shown. */
export function toShow(theCase, findings) {
  return visible(theCase, findings).filter((finding) => !shown(theCase, finding));
}

/** Give the stops that nobody has answered since the last pull began. */
export function standingStops(theCase, findings) {
  if (over(theCase)) return [];
  return findings.filter((finding) => finding.level === "stop" && !answered(theCase, finding));
}

/** Tell whether a finding is to be heard; some only while a pull goes on. */
export function soundsNow(finding, measured) {
  if (finding.sound === "pulling") return measured.pull_open === 1;
  return finding.sound !== "none";
}

/** After the birth, or once stopped, the limits of the pull have nothing to say. */
function over(theCase) {
  return Boolean(theCase.head_born || theCase.baby_born || theCase.stopped || theCase.closed);
}

function shown(theCase, finding) {
  const same = theCase.advice.filter((item) => item.message === finding.message);
  if (finding.level !== "stop") return same.length > 0;
  return same.some((item) => item.pulls === theCase.pulls.length);
}

function answered(theCase, finding) {
  return theCase.advice.some((item) => item.limit === finding.limit && item.level === "stop"
    && AFTER.includes(item.choice) && item.pulls === theCase.pulls.length);
}
