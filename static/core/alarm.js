/**
 * Decide what is said aloud, and when a stop has been answered.
 *
 * A caution is said once for each message. A stop is said again with each further pull, and
 * stands until somebody names what they do: stopped, or going on.
 */

const AFTER = ["stopped", "continued"];

/** Give the findings that the log does not yet hold as shown. */
export function toShow(theCase, findings) {
  if (over(theCase)) return [];
  return findings.filter((finding) => ["caution", "stop"].includes(finding.level) && !shown(theCase, finding));
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
  if (finding.level === "caution") return same.length > 0;
  return same.some((item) => item.pulls === theCase.pulls.length);
}

function answered(theCase, finding) {
  return theCase.advice.some((item) => item.limit === finding.limit && item.level === "stop"
    && AFTER.includes(item.choice) && item.pulls === theCase.pulls.length);
}
