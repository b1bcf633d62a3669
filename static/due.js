/**
 * What is due for mothers and babies across every open birth that this tablet holds.
 *
 * Cases other than the one on the desk are read from the journal once and folded; they do
 * not change until one of them is taken up. What is due is worked out at every look, so
 * that a restart, midnight or a clock that was set find it as it is. Practice is never due.
 */

import { due } from "./core/schedule.js";
import { modeOf, withCase } from "./heads.js";

// Common practice, no source: nobody looks after a birth for longer at a post.
const OLDEST_MS = 7 * 24 * 3600000;
const MOST = 200;
const EVERY_MS = 1000;
const AGAIN_MS = 2000;
const SOUNDING = ["due", "late"];

/**
 * Watch what is due: {refresh, settled, forget, cases, list, look}.
 *
 * `play(weight)` makes a sound, `onChange()` hears that other cases were read.
 */
export function watchDues({ journal, desk, clock, rules, play, onChange }) {
  let others = [];
  // Which case was on the desk when the others were read, and when that was last tried.
  let onDesk;
  let tried = { desk: undefined, tick: -Infinity };
  let listed = null;
  let heard = null;
  let lookedAt = -Infinity;
  let reading = Promise.resolve();

  /** Read the open births again, but for the one on the desk. */
  function refresh() {
    const id = desk.caseId();
    tried = { desk: id, tick: clock.stamp().tick };
    reading = reading.then(read).then(() => { onDesk = id; }).catch((error) => {
      // What cannot be read now is read at the next turn.
      if (error.code !== "journal_refused") throw error;
    });
    return reading;
  }

  function isStale() {
    const id = desk.caseId();
    return id !== onDesk && (id !== tried.desk || clock.stamp().tick - tried.tick > AGAIN_MS);
  }

  async function read() {
    const since = clock.stamp().at - OLDEST_MS;
    const heads = (await journal.readHeads({ limit: MOST })).filter((head) => !head.closed && head.at >= since && modeOf(head) === "real");
    const read = await Promise.all(heads.map((head) => withCase(journal, head)));
    others = read.map(({ theCase }) => theCase).filter((theCase) => theCase.closed === null);
    onChange();
  }

  /** Leave a case out that was just closed. */
  function forget(id) {
    others = others.filter((theCase) => theCase.case !== id);
  }

  /** Give every open birth, the one on the desk as it is now: folded cases. */
  function cases() {
    if (isStale()) refresh();
    const own = desk.theCase();
    const rest = others.filter((theCase) => theCase.case !== desk.caseId());
    return own && own.mode === "real" && !own.closed ? [own, ...rest] : rest;
  }

  /** List what is due: {case, label, id, lane, state, due_at, late_at}, most overdue first; wall times in ms. */
  function list() {
    const now = clock.stamp();
    const open = cases();
    const isFresh = listed && now.tick - listed.tick < EVERY_MS && listed.others === others && listed.own === desk.theCase();
    if (!isFresh) listed = { tick: now.tick, others, own: desk.theCase(), items: work(open, now) };
    return listed.items;
  }

  function work(open, now) {
    const order = { late: 0, due: 1, later: 2 };
    return open.flatMap((theCase) => due(theCase, (rules.of(theCase.protocol) ?? rules.inForce()).table, now).map((item) => {
      const wall = (ms) => theCase.baby_born.at + ms - theCase.baby_born.ms;
      return { ...item, case: theCase.case, label: theCase.label, due_at: wall(item.due_ms), late_at: wall(item.late_ms) };
    })).sort((a, b) => order[a.state] - order[b.state] || urgency(a) - urgency(b));
  }

  /** Say by a soft sound that something has come due; never over a pull. */
  function look() {
    const { tick } = clock.stamp();
    if (tick - lookedAt < EVERY_MS || desk.look()?.measured.pull_open) return;
    lookedAt = tick;
    const items = list();
    const marks = items.filter(({ state }) => SOUNDING.includes(state)).map((item) => ({ of: item.case, mark: [item.case, item.id, item.minute, item.state].join("/") }));
    // What was already due when the page began, or at the very birth, is on the screen and is no news.
    if (heard !== null && marks.some(({ of, mark }) => heard.births.has(of) && !heard.marks.has(mark))) play("info");
    heard = { births: new Set(items.map((item) => item.case)), marks: new Set(marks.map(({ mark }) => mark)) };
  }

  return { refresh, settled: () => reading, forget, cases, list, look };
}

function urgency({ state, due_at: dueAt, late_at: lateAt }) {
  return state === "later" ? dueAt : lateAt;
}
