/**
 * Tell where in the birth a case is, and what to do now.
 *
 * Both follow from the events alone, so that a tablet that was restarted lands in the
 * same place.
 */

import { lastApplication } from "./cup.js";

export const PLACES = ["before", "cup", "pull", "stop", "after", "closed"];

/** Name the screen that a case belongs on: one of PLACES. */
export function place(theCase) {
  if (theCase.closed) return "closed";
  if (theCase.baby_born) return "after";
  if (theCase.stopped) return "stop";
  if (theCase.head_born || theCase.pulls.length || theCase.detachments.length) {
    return toApplyAgain(theCase) ? "cup" : "pull";
  }
  if (readyToPull(theCase)) return "pull";
  const decision = theCase.decision?.decision;
  if (decision === "refer") return "stop";
  return decision === "proceed" || theCase.applications.length ? "cup" : "before";
}

/** Name what to do now on the pull screen, as a words id. */
export function guide(theCase, measured) {
  if (theCase.head_born) return "now.head_out";
  if (theCase.scalp_unchecked) return "now.scalp";
  if (measured.pull_open) return theCase.phase === "perineal" ? "now.pulling_gently" : "now.pulling";
  if (measured.hissing) return "now.hiss";
  if (!theCase.cup_on) return "now.cup_off";
  if (theCase.pulls.length && theCase.pulls.at(-1).descent === null) return "now.judge";
  return theCase.pulls.length ? "now.between" : "now.wait";
}

function readyToPull(theCase) {
  return theCase.suction?.stage === "working" && !theCase.rim_unswept;
}

/** The cup is off, the scalp was looked at: the next thing is the cup again. */
function toApplyAgain(theCase) {
  if (theCase.head_born || theCase.cup_on) return begunAgain(theCase);
  return theCase.detachments.length > 0 && !theCase.scalp_unchecked;
}

/** The cup was put on again and working suction is not yet told. */
function begunAgain(theCase) {
  const application = lastApplication(theCase);
  if (theCase.head_born || application === null) return false;
  const pulled = theCase.pulls.length > 0 && theCase.pulls.at(-1).began_ms >= application.ms;
  return !pulled && !readyToPull(theCase);
}
