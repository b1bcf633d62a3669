/**
 * Count pulls: all traction in one contraction is one pull.
 *
 * Traction that is taken up again within `same_contraction_s` of its last end goes on
 * with the same pull, unless the cup came off or a stop was answered in between. Pulls
 * stand in the order in which they began, also those told late.
 */

const ANSWERS = ["stopped", "continued"];

/** Give the pull that is going on, or null. */
export function openPull(theCase) {
  const pull = lastPull(theCase);
  return pull !== null && pull.ended_ms === null ? pull : null;
}

/** Give the last pull that began, or null. */
export function lastPull(theCase) {
  return theCase.pulls.at(-1) ?? null;
}

/** Give the last pull that had begun at a moment of the case, or null. */
export function pullAt(theCase, ms) {
  return theCase.pulls.findLast((pull) => pull.began_ms <= ms) ?? null;
}

/** Begin a pull, or go on with the last one. */
export function beginPull(theCase, row) {
  const odd = oddities(theCase, row);
  const going = openPull(theCase);
  const last = lastPull(theCase);
  const goesOn = sameContraction(theCase, row);
  // A stop that is not kept to is still in the timeline; the case goes on.
  if (isAfter(theCase.stopped, row)) theCase.stopped = null;
  if (last !== null && row.ms < last.began_ms) {
    // Told late, and over by now; when it ended may still be told.
    insert(theCase, pullOf(theCase, row, row.ms));
    return odd;
  }
  theCase.hissing = false;
  if (going !== null) {
    odd.push("pull_already_open");
    if (row.ms - going.pieces.at(-1).began_ms <= theCase.same_contraction_s * 1000) return odd;
    // Its end was never told, so traction is counted up to here: rather too
    // much than too little.
    end(going, row, row.ms);
    going.end_known = false;
  } else if (goesOn) {
    last.pieces.push({ began_ms: row.ms, ended_ms: null });
    last.ended_ms = null;
    return odd;
  }
  insert(theCase, pullOf(theCase, row, null));
  return odd;
}

/** End the pull that is going on; with none, say so when an end was told. */
export function endPull(theCase, row) {
  const pull = closePull(theCase, row);
  return pull === null && row.kind === "pull_ended" ? ["pull_not_begun"] : [];
}

/** End the pull that a row ends and give it, or null when it ends none. */
export function closePull(theCase, row) {
  const going = openPull(theCase);
  if (going !== null && row.ms >= going.began_ms) {
    end(going, row, row.ms);
    return going;
  }
  // Told late, it can only be the end of a pull whose end was not told yet.
  const pull = theCase.pulls.findLast((one) => row.estimated && one.began_ms <= row.ms && hasNoEnd(one)) ?? null;
  if (pull === null) return null;
  // No traction is counted twice: it ends where the next pull began.
  const after = theCase.pulls.slice(pull.number).map((other) => other.began_ms);
  end(pull, row, Math.min(row.ms, ...after));
  return pull;
}

function hasNoEnd(pull) {
  return pull.ended_ms !== null && !pull.end_known;
}

function pullOf(theCase, row, endedMs) {
  const { perineum } = theCase;
  return {
    number: 0,
    phase: perineum && perineum.ms <= row.ms ? "perineal" : "descent",
    began_ms: row.ms,
    began_floor_ms: row.floor_ms,
    began_doubts: row.doubts,
    ended_ms: endedMs,
    end_known: false,
    ended_doubts: row.doubts,
    pieces: [{ began_ms: row.ms, ended_ms: endedMs }],
    descent: null,
    detached: false,
    pa: theCase.suction ? theCase.suction.pa : null,
  };
}

function insert(theCase, pull) {
  const { pulls } = theCase;
  const place = pulls.filter((other) => other.began_ms <= pull.began_ms).length;
  pulls.splice(place, 0, pull);
  pulls.forEach((counted, index) => { counted.number = index + 1; });
  for (const off of theCase.detachments) if (off.pull > place) off.pull += 1;
}

function oddities(theCase, row) {
  const odd = [];
  // A pull told late may have been before the cup came off.
  if (!theCase.cup_on && !row.estimated) odd.push("pull_without_cup");
  if (isAfter(theCase.baby_born, row)) odd.push("after_birth");
  if (isAfter(theCase.stopped, row)) odd.push("pull_after_stop");
  return odd;
}

function isAfter(end, row) {
  return end !== null && row.ms >= end.ms;
}

function sameContraction(theCase, row) {
  const pull = lastPull(theCase);
  // A pull told late is told because it was missed, so it always counts.
  if (pull === null || pull.ended_ms === null || row.estimated || isPast(theCase, pull)) return false;
  // Nobody can tell how long the rest was: rather a pull too many than too few.
  if (row.doubts > pull.ended_doubts) return false;
  return row.ms - pull.ended_ms <= theCase.same_contraction_s * 1000;
}

/** Traction after the cup came off, or after a stop, is never part of the pull before. */
function isPast(theCase, pull) {
  const offs = [...theCase.detachments, ...theCase.cup_removed];
  return pull.detached
    || theCase.stopped !== null
    || offs.some((off) => off.ms >= pull.ended_ms)
    || theCase.advice.some((item) => answersStop(item, theCase.pulls.length));
}

function answersStop(item, pulls) {
  return item.level === "stop" && ANSWERS.includes(item.choice) && item.pulls === pulls;
}

function end(pull, row, ms) {
  const piece = pull.pieces.at(-1);
  // An end told late may lie before the traction was taken up again.
  piece.ended_ms = Math.max(ms, piece.began_ms);
  pull.ended_ms = piece.ended_ms;
  pull.ended_doubts = row.doubts;
  pull.end_known = true;
}
