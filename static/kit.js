/**
 * What this tablet knows of the kit: the last answer to each thing, at hand at every start.
 *
 * The last lines lie together in one small row, written in one transaction with each new
 * line, so that Home never reads the history; without that row the lines are looked up.
 */

import { parse } from "./core/event.js";
import { kitState } from "./core/kit.js";
import { KIT } from "./journal.js";

const ROW = "kit";
const DAY_MS = 86400000;
// A clock that was set may lie a little ahead; what lies further ahead has no date.
const AHEAD_MS = DAY_MS;

/** Open the kit: {begin, check, look, told}. `onChange()` hears when an answer is kept. */
export function openKit({ journal, desk, rules, onChange }) {
  let lines = {};
  let writing = {};
  let isRead = false;

  /** Read what was told last; a store that is shut today tells nothing. */
  async function begin() {
    try {
      writing = { ...await remembered(journal), ...writing };
      lines = { ...writing, ...lines };
      isRead = true;
    } catch (error) {
      if (error.code !== "journal_refused") throw error;
    }
    onChange();
  }

  /** Record the answer to one thing; it shows once it is durable. */
  async function check(item, facts, stamp) {
    let told = "";
    const keeping = (line) => {
      told = line;
      writing = { ...writing, [item]: line };
      // Without the older answers the row is emptied, and the lines are looked up at the next start.
      return { key: ROW, value: { at: JSON.parse(line).at, lines: isRead ? writing : null } };
    };
    await desk.note("kit_checked", { item, ...facts }, { stamp, keeping });
    if (told) lines = { ...lines, [item]: told };
    onChange();
  }

  /** Give the last answer to each thing as events by thing. */
  function told() {
    return new Map(Object.entries(lines).map(([item, line]) => [item, parse(line)]));
  }

  /** Judge the rows that are asked for, as `use` says: "weekly" or "before_use". */
  function look(use = "weekly") {
    return kitState(rules.inForce().table.kit.filter((row) => row[use]), [...told().values()]);
  }

  return { begin, check, look, told };
}

/** Tell whether it is time to check again: more than so many days ago, never, or at no date that can be. */
export function isDue(checkedAt, nowMs, days) {
  if (checkedAt === null || checkedAt - nowMs > AHEAD_MS) return true;
  return nowMs - checkedAt > days * DAY_MS;
}

async function remembered(journal) {
  const row = await journal.readMeta(ROW);
  if (row?.lines) return row.lines;
  const events = (await journal.readCase(KIT)).map((line) => [line, parse(line)]);
  events.sort(([, one], [, other]) => one.at - other.at);
  return Object.fromEntries(events.map(([line, { facts }]) => [facts.item, line]));
}
