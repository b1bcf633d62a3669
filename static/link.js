/**
 * The tablet's link to its station: send what waits, take what comes down.
 *
 * Never in the way of a tap: the rounds go on by themselves. Knows which station it is
 * and what that station has set for the post.
 */

import { parse } from "./core/event.js";
import { exchange, readDown, readStation, waiting, waitingAtHub } from "./sync.js";
import { startRounds } from "./sync_rounds.js";

const STATION = "";

/**
 * Open the link: {begin, listen, pairWith, send, refresh, state, post, heard, isHere}.
 *
 * `state()` is {waiting, since, lastContact, failure}, failure an error code or null. `onChange()`
 * hears of anything new, `onContact()` of every exchange that went well. `state().hub` is what
 * the hub does not hold yet, {count, since}, or null without a hub. `pairWith(code)` lets this
 * tablet in by a one-time code; it raises what pairing.js does.
 */
export function openLink({ journal, device, lock, onChange, onContact, onHeard = () => {} }) {
  const state = { waiting: 0, since: null, lastContact: null, failure: null, hub: null };
  const parts = { journal, device, fetch: (...told) => fetch(...told), wall: () => Date.now(), name: "" };
  let rounds = null;
  let post = null;
  let heard = [];
  const here = new Map();

  /** Count what waits, and read what the station has set. */
  async function count() {
    try {
      const told = await waiting(journal, STATION);
      Object.assign(state, { waiting: told.count, since: told.since, lastContact: told.lastContact ?? null });
      state.hub = await waitingAtHub(journal, STATION);
    } catch (error) {
      // A store that is shut has a strip of its own on the screen.
      if (error.code !== "journal_refused") throw error;
    }
    await listen();
    await lookForCases();
    return { count: state.waiting, ...state };
  }

  /** A post may have several tablets: which of the births that are spoken of is on this one? */
  async function lookForCases() {
    const asked = heard.filter(({ kind }) => kind === "remark_made").map(({ facts }) => facts.target_case);
    for (const id of new Set(asked)) {
      if (here.get(id)) continue;
      try {
        here.set(id, typeof id === "string" && (await journal.readCase(id)).length > 0);
      } catch (error) {
        if (error.code !== "journal_refused") throw error;
      }
    }
  }

  /** Read what the stations have said: the settings of the post, its limits, remarks. */
  async function listen() {
    try {
      const own = (await readStation(journal, STATION)).map(readable).filter(Boolean);
      // The newest settings that the station itself sent down; a PIN is let go by nobody else either.
      post = own.findLast((event) => event.kind === "post_set")?.facts ?? null;
      await lock.hear(own);
      heard = (await readDown(journal, STATION)).map(readable).filter(Boolean);
      await onHeard(heard);
    } catch (error) {
      if (error.code !== "journal_refused") throw error;
    }
  }

  async function refresh() {
    await count();
    onChange();
  }

  /** Begin the rounds; resolves when the first has ended, well or not. */
  function begin() {
    rounds = startRounds({
      round: () => exchange(parts, STATION),
      count,
      onState: ({ busy, reason }) => {
        state.failure = reason;
        if (!busy && reason === null) onContact();
        onChange();
      },
    });
    return rounds.first;
  }

  async function pair(code) {
    // Read when it is needed: a tablet is let in once in its life.
    const { pairWith } = await import("./pairing.js");
    const state = await pairWith(parts, STATION, code);
    rounds?.now();
    return state;
  }

  return { begin, listen, pairWith: pair, send: () => rounds?.now(), refresh, state: () => state, post: () => post, heard: () => heard, isHere: (id) => here.get(id) === true };
}

/** An event of a station; what cannot be read says nothing to a tablet. */
function readable(line) {
  try {
    return parse(line);
  } catch (error) {
    if (error.code !== "event_malformed") throw error;
    return null;
  }
}
