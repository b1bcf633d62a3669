/**
 * What was said of a birth: the supervisor's remarks, the mark of review, the post's answers.
 *
 * Folds events of the stations and of the case; knows no store and no page.
 */

export const SEEN = "remarks_seen";

const SAID = new Set(["remark_made", "case_reviewed"]);
const ANSWER = "remark_answered";

/**
 * Give the thread of a case in the order of its moments: [{kind, at, by, text, log, seq}].
 *
 * `heard` are the events of the stations, `events` those of the case; an answer that was
 * withdrawn is left out, and a remark that the tablet itself wrote says nothing.
 */
export function thread(heard, events, caseId) {
  const gone = new Set(events.filter(({ kind }) => kind === "withdrawn").map(({ facts }) => `${facts.target_log}/${facts.target_seq}`));
  const said = heard.filter(({ kind, facts }) => SAID.has(kind) && facts.target_case === caseId);
  const answers = events.filter(({ kind, log, seq }) => kind === ANSWER && !gone.has(`${log}/${seq}`));
  return [...said, ...answers].map(told).sort((a, b) => a.at - b.at || a.seq - b.seq);
}

/**
 * Give the remarks about births of this tablet that were not opened on it yet.
 *
 * `seen` holds the places, `placeOf`, of those that were; `isHere(caseId)` tells whether a
 * birth is on this tablet, since a post may have several.
 */
export function unread(heard, seen, isHere) {
  return heard.filter((event) => event.kind === "remark_made" && !seen.has(placeOf(event)) && isHere(event.facts.target_case));
}

/** Name the place of an event in its log. */
export function placeOf({ log, seq }) {
  return `${log}/${seq}`;
}

function told({ kind, at, log, seq, facts }) {
  return { kind, at, log, seq, by: text(facts.by), text: text(facts.text) };
}

function text(value) {
  return typeof value === "string" ? value : "";
}

/** Give the places of the remarks that were opened on this tablet, as its settings keep them. */
export function seenOf(settings) {
  const kept = settings.get(SEEN);
  return new Set(Array.isArray(kept) ? kept : []);
}

/** Count the remarks about births of this tablet that were not opened yet. */
export function unopened({ link, settings }) {
  return unread(link.heard(), seenOf(settings), link.isHere).length;
}
