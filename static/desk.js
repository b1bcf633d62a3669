/**
 * The open case on this tablet: its events, what they fold to, and the taps on their way.
 *
 * A tap is painted as pending at once and counts once it is on the disk. Only when the
 * disk refuses does the screen go on with what is held in memory, and says so. Knows
 * neither page nor words.
 */

import { randomHex } from "./bytes.js";
import { fold } from "./core/case.js";
import { parse, seal } from "./core/event.js";
import { advise } from "./core/limits.js";
import { measures } from "./core/measures.js";

/**
 * Open the desk.
 *
 * parts: journal, device, clock, rules. An open case keeps the protocol it began with; the
 * next one begins under what is in force by then. `onChange(why)` hears "pending"
 * when a tap was taken, "kept" when it is durable, "case" when another case is on the desk.
 */
export function openDesk({ journal, device, clock, rules, onChange }) {
  let protocol = rules.inForce();
  let kept = [];
  let pending = [];
  let caseId = null;
  let folded = null;
  let lastTap = null;
  let isFailing = false;

  /** Take a fresh case onto the desk and record its opening. */
  function open(facts, stamp = clock.stamp()) {
    take(randomHex(8), []);
    protocol = rules.inForce();
    return record("case_opened", facts, { stamp, tap: false });
  }

  /** Take a case from the journal onto the desk; what lies there as it is kept stays, with what is shown of it. */
  async function load(id) {
    const lines = await journal.readCase(id);
    if (id === caseId && lines.length === kept.length) return;
    take(id, lines.map(parse));
    protocol = rules.of(folded.protocol) ?? rules.inForce();
    onChange("case");
  }

  /** Leave the case that is on the desk; nothing of it is lost. */
  function leave() {
    take(null, []);
    onChange("case");
  }

  function take(id, events) {
    caseId = id;
    kept = events;
    pending = [];
    lastTap = null;
    refold();
  }

  function refold() {
    const shown = isFailing ? [...kept, ...pending] : kept;
    folded = caseId === null ? null : fold(shown);
  }

  /**
   * Record one fact about the case on the desk; resolves when it is durable.
   *
   * `stamp` is the moment of the tap, `ago` how many seconds earlier it happened. What is
   * recorded with `tap` can be undone as one, together with what has the same stamp.
   */
  function record(kind, facts = {}, { stamp = clock.stamp(), ago = 0, tap = true } = {}) {
    // A page that only reads says so in its strip, and its keys are out of use.
    if (device === null) return Promise.resolve();
    const { log, seq } = device.next();
    const event = { log, seq, case: caseId, kind, ...stamp, ago, protocol: protocol.digest, facts };
    const line = seal(event);
    pending.push(event);
    if (tap) remember(event, stamp);
    onChange("pending");
    const onto = kept;
    return journal.append(line, log, seq).then(() => {
      onto.push(event);
      if (onto !== kept) return;
      pending = pending.filter((one) => one !== event);
      refold();
      onChange("kept");
    });
  }

  /**
   * Record a fact about the tablet or its post, outside every case; resolves when it is durable.
   *
   * `keeping(line)` gives what the journal keeps together with the line, {key, value}.
   */
  function note(kind, facts, { stamp = clock.stamp(), keeping = () => null } = {}) {
    return write("", kind, facts, stamp, keeping);
  }

  /** Record a fact about a case that is not on the desk, as the answer to a remark; resolves when it is durable. */
  function recordIn(id, kind, facts) {
    return id === caseId ? record(kind, facts, { tap: false }) : write(id, kind, facts, clock.stamp(), () => null);
  }

  /** Write one event that the desk does not show. */
  function write(id, kind, facts, stamp, keeping) {
    if (device === null) return Promise.resolve();
    const { log, seq } = device.next();
    const line = seal({ log, seq, case: id, kind, ...stamp, ago: 0, protocol: rules.inForce().digest, facts });
    return journal.append(line, log, seq, keeping(line));
  }

  function remember(event, stamp) {
    if (lastTap?.stamp === stamp) lastTap.events.push(event);
    else lastTap = { stamp, events: [event] };
  }

  /** Give the last tap while it may be undone in passing: {events, stamp}, or null. */
  function undoable() {
    if (!lastTap) return null;
    const age = clock.stamp().tick - lastTap.stamp.tick;
    return age < protocol.table.numbers.undo_s.value * 1000 ? lastTap : null;
  }

  /** Take back the last tap. */
  function undo() {
    const taken = lastTap;
    lastTap = null;
    return withdraw(taken?.events ?? []);
  }

  /** Withdraw events by their place in the log: [{log, seq}]. */
  function withdraw(events) {
    return Promise.all(events.map(({ log, seq }) => (
      record("withdrawn", { target_log: log, target_seq: seq }, { tap: false }))));
  }

  /** Amend one event: `changes` are the facts to set, `ago` among them; `told` may say {why, by}. */
  function amend({ log, seq }, changes, told = {}) {
    const set = Object.fromEntries(Object.entries(changes).map(([name, value]) => [`set_${name}`, value]));
    return record("amended", { target_log: log, target_seq: seq, ...set, ...told }, { tap: false });
  }

  /** Hear that the disk refuses, or that it takes again. */
  function failing(is) {
    if (is === isFailing && !is) return;
    isFailing = is;
    refold();
    onChange("kept");
  }

  /** Measure and judge the case at this moment: {theCase, measured, findings}, or null. */
  function look() {
    if (folded === null) return null;
    const now = clock.stamp();
    return { theCase: folded, measured: measures(folded, now), findings: advise(folded, protocol.table, now) };
  }

  return {
    open, load, leave, record, recordIn, note, undo, undoable, withdraw, amend, failing, look,
    caseId: () => caseId,
    theCase: () => folded,
    pending: () => pending,
    protocol: () => (caseId === null ? rules.inForce() : protocol),
  };
}
