/**
 * Count pulls: all traction in one contraction is one pull.
 *
 * Traction that is taken up again within `same_contraction_s` of its last end goes on
 * with the same pull, unless the cup came off in between.
 */

/** Give the pull that is going on, or null. */
export function openPull(theCase) {
  const pull = lastPull(theCase);
  return pull !== null && pull.ended_ms === null ? pull : null;
}

/** Give the last pull that began, or null. */
export function lastPull(theCase) {
  return theCase.pulls.at(-1) ?? null;
}

/** Begin a pull, or go on with the last one. */
export function beginPull(theCase, row) {
  const odd = oddities(theCase);
  const going = openPull(theCase);
  theCase.hissing = false;
  if (theCase.stopped !== null) {
    // A stop that is not kept to is still in the timeline; the case goes on.
    theCase.stopped = null;
    odd.push("pull_after_stop");
  }
  if (going !== null && row.ms < going.began_ms) {
    insert(theCase, pullOf(theCase, row, row.ms), theCase.pulls.length - 1);
    return odd;
  }
  if (going !== null) {
    odd.push("pull_already_open");
    if (row.ms - going.pieces.at(-1).began_ms <= theCase.same_contraction_s * 1000) return odd;
    // Its end was never told, so traction is counted up to here: rather too
    // much than too little.
    end(going, row.ms);
  } else if (sameContraction(theCase, row)) {
    const pull = lastPull(theCase);
    pull.pieces.push({ began_ms: row.ms, ended_ms: null });
    pull.ended_ms = null;
    return odd;
  }
  insert(theCase, pullOf(theCase, row, null), theCase.pulls.length);
  return odd;
}

/** End the pull that is going on; with none, say so when an end was told. */
export function endPull(theCase, row) {
  let pull = openPull(theCase);
  if (pull !== null && row.ms < pull.began_ms) {
    // Told late: it ends the pull before the one that is going on.
    pull = theCase.pulls.at(-2) ?? null;
    if (pull !== null && row.ms < pull.ended_ms) pull = null;
  }
  if (pull === null) return row.kind === "pull_ended" ? ["pull_not_begun"] : [];
  end(pull, row.ms);
  return [];
}

function oddities(theCase) {
  const odd = [];
  if (!theCase.cup_on) odd.push("pull_without_cup");
  if (theCase.baby_born !== null) odd.push("after_birth");
  return odd;
}

function sameContraction(theCase, row) {
  const pull = lastPull(theCase);
  // A pull told late is told because it was missed, so it always counts.
  if (pull === null || pull.detached || row.estimated) return false;
  return row.ms - pull.ended_ms <= theCase.same_contraction_s * 1000;
}

function pullOf(theCase, row, endedMs) {
  return {
    number: 0,
    phase: theCase.phase,
    began_ms: row.ms,
    began_floor_ms: row.floor_ms,
    began_doubts: row.doubts,
    ended_ms: endedMs,
    pieces: [{ began_ms: row.ms, ended_ms: endedMs }],
    descent: null,
    detached: false,
    pa: theCase.suction ? theCase.suction.pa : null,
  };
}

function insert(theCase, pull, place) {
  theCase.pulls.splice(place, 0, pull);
  theCase.pulls.forEach((counted, index) => { counted.number = index + 1; });
}

function end(pull, ms) {
  pull.ended_ms = ms;
  pull.pieces.at(-1).ended_ms = ms;
}
