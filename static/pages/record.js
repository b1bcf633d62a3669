/**
 * Record: one birth on one page, to read, to print and to sign. Gaps are shown as gaps.
 */

import { placeAt } from "../chain.js";
import { fold } from "../core/case.js";
import { parse } from "../core/event.js";
import { measures } from "../core/measures.js";
import { dayTime } from "../language.js";
import { el, value } from "../ui/dom.js";
import { bedOf, header } from "../ui/header.js";
import { key } from "../ui/key.js";
import { baby, byHand, ending, mother } from "./record_care.js";
import { advice, entries, odd, open, signature } from "./record_ends.js";
import { zeroOf } from "./record_facts.js";
import { before, cups, decision, drawing, heart, pulls, totals, who } from "./record_parts.js";
import { remarksPart } from "./remarks.js";

const DIGEST_DIGITS = 16;

// What was read last, so that the page drawn anew shows it at once and keeps its place.
let last = null;
const reached = new Map();

/** Draw the record of a case; the argument is its id, or {id, from} with the page to go back to. */
export function recordPage(view) {
  const { id, from } = typeof view.arg === "object" && view.arg !== null ? view.arg : { id: view.arg, from: null };
  const caseId = id ?? view.desk.caseId();
  const isOnDesk = view.theCase !== null && view.desk.caseId() === caseId;
  // What was read of this very case; that of another one is nobody's business here.
  let read = last?.id === caseId ? last : null;
  const known = isOnDesk ? view.theCase : read?.theCase ?? null;
  const body = el("div", { class: "record-body" });
  const main = el("main", { class: "record" });
  const show = (theCase) => {
    const hadFocus = main.contains(document.activeElement);
    main.replaceChildren(...whole(view, body, theCase, read, isOnDesk));
    if (hadFocus) main.querySelector("h1").focus({ preventScroll: true });
  };

  if (known) show(known);
  else main.replaceChildren(title(view.words, null), el("p", { class: "quiet", role: "status" }, view.words.text("record.loading")));
  readRecord(view.journal, caseId).then((now) => {
    const isNew = JSON.stringify(now.digest) !== JSON.stringify(read?.digest);
    read = last = now;
    if (isNew) show(isOnDesk ? view.theCase : read.theCase);
  }, () => main.replaceChildren(title(view.words, null), el("p", { role: "status" }, view.words.text("record.unreadable"))));
  return { node: el("div", { class: "screen record-page scrolls" },
    header(view.words, { title: view.words.text("place.record"), onBack: () => (from ? view.go(from.page, from.arg) : isOnDesk && !view.theCase.closed ? view.toCase() : view.go("home")) }),
    keys(view, isOnDesk, () => read?.theCase), main) };
}

async function readRecord(journal, id) {
  const lines = await journal.readCase(id);
  const events = lines.map(parse);
  const byPlace = new Map(events.map((event) => [`${event.log}/${event.seq}`, event]));
  return { id, theCase: fold(events), digest: await chained(journal, events), events: byPlace };
}

/** Give the chain of each log up to the last entry of this case: [{log, seq, hash}]. */
async function chained(journal, events) {
  const ends = new Map(events.map(({ log, seq }) => [log, seq]));
  return Promise.all([...ends].map(async ([log, seq]) => ({ log, ...await endOf(journal, log, seq) })));
}

/** A log only grows, so that what was reckoned once stands. */
async function endOf(journal, log, seq) {
  const before = reached.get(log);
  const place = await placeAt(log, seq, journal.readLog, before && before.seq <= seq ? before : null);
  reached.set(log, place);
  return place;
}

/** The hand-over waits until the record is read: it is never that of another woman. */
function keys(view, isOnDesk, theRead) {
  const { words, theCase, isWriter } = view;
  const handOver = () => {
    if (isOnDesk || theRead()) view.go("handover", { theCase: isOnDesk ? undefined : theRead(), from: { page: "record", arg: view.arg } });
  };
  return el("div", { class: "record-keys" },
    key({ name: "print", sign: "print", label: words.text("record.print"), onTap: () => globalThis.print() }),
    key({ name: "handover", sign: "send", label: words.text("handover.open"), onTap: handOver }),
    isOnDesk && isWriter && !theCase.closed ? key({ name: "correct", sign: "list", label: words.text("record.correct"), onTap: () => view.go("log") }) : null);
}

function title(words, theCase) {
  return el("h1", { class: "line", tabindex: "-1" }, words.text("record.title"), theCase?.label ? [" ", el("span", {}, bedOf(words, theCase))] : null);
}

function whole(view, body, theCase, read, isOnDesk) {
  const { words, protocols } = view;
  const events = read?.events ?? new Map();
  const told = {
    words, theCase, protocol: protocols.get(theCase.protocol) ?? null, zero: zeroOf(theCase), events,
    measured: isOnDesk ? view.measured : measures(theCase, theCase.clock ?? { at: 0, boot: "", tick: 0 }),
  };
  const isPractice = theCase.mode === "practice";
  body.dataset.mode = theCase.mode ?? "none";
  body.replaceChildren(...[
    who(told), decision(told), before(told), drawing(told), totals(told), heart(told), cups(told), pulls(told),
    advice(told), ending(told), mother(told), baby(told), byHand(words), open(told), odd(told), entries(told), signature(words),
    remarksPart({ ...view, caseId: theCase.case, events: [...events.values()] }),
  ].filter(Boolean));
  return [
    el("div", { class: "record-head" }, title(words, theCase), isPractice ? el("p", { class: "practice-mark" }, words.text("app.practice")) : null,
      el("p", { class: "caution-line" }, words.text("app.caution"))),
    body, foot(view, theCase, read?.digest)];
}

function foot({ words, release }, theCase, digest) {
  const logs = (digest ?? []).map(({ log, seq, hash }, index) => [index ? words.comma() : "", value(log), " ", words.text("record.digest"), " ", value(`${seq}: ${hash.slice(0, DIGEST_DIGITS)}`)]);
  return el("footer", { class: "record-foot" },
    el("p", {}, words.text("app.name"), " ", words.text("record.release"), " ", value(release), ". ", words.text("record.case"), " ", value(theCase.case), ". ",
      words.text("record.log"), " ", digest ? logs : "\u2026",
      theCase.opened_at === null ? null : [". ", words.text("record.opened"), " ", value(dayTime(theCase.opened_at))]));
}
