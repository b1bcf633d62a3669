/**
 * The tablet's link to its station: send what waits, take what comes down.
 *
 * Never in the way of a tap: the rounds go on by themselves. Knows which station it is
 * and what that station has set for the post.
 */

import { exchange, readStation, waiting } from "./sync.js";
import { startRounds } from "./sync_rounds.js";

const STATION = "";

/**
 * Open the link: {begin, send, refresh, state, post}.
 *
 * `state()` is {waiting, since, lastContact, failure}, failure an error code or null. `onChange()`
 * hears of anything new, `onContact()` of every exchange that went well.
 */
export function openLink({ journal, device, lock, onChange, onContact }) {
  const state = { waiting: 0, since: null, lastContact: null, failure: null };
  const parts = { journal, device, fetch: (...told) => fetch(...told), wall: () => Date.now(), name: "" };
  let rounds = null;
  let post = null;

  /** Count what waits, and read what the station has set. */
  async function count() {
    try {
      const told = await waiting(journal, STATION);
      Object.assign(state, { waiting: told.count, since: told.since, lastContact: told.lastContact ?? null });
      const said = (await readStation(journal, STATION)).map((line) => JSON.parse(line));
      // The newest settings that the station sent down.
      post = said.findLast((event) => event.kind === "post_set")?.facts ?? null;
      await lock.hear(said);
    } catch (error) {
      // A store that is shut has a strip of its own on the screen.
      if (error.code !== "journal_refused") throw error;
    }
    return { count: state.waiting, ...state };
  }

  async function refresh() {
    await count();
    onChange();
  }

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
  }

  return { begin, send: () => rounds?.now(), refresh, state: () => state, post: () => post };
}
