/**
 * The tablet's link to its station: send what waits, take what comes down.
 *
 * Never in the way of a tap: it goes on by itself, at the start, when a network
 * appears, after a case closes, and every few minutes.
 */

import { exchange, readStation, waiting } from "./sync.js";

const EVERY_MS = 3 * 60 * 1000;
const STATION = "";

/** Open the link: {begin, send, state, post}. `onChange()` hears of anything new. */
export function openLink({ journal, device, isWriter, onChange }) {
  const state = { waiting: 0, since: null, lastContact: null, failure: null, busy: false };
  let post = null;

  async function refresh() {
    try {
      const { count, since, lastContact } = await waiting(journal, STATION);
      Object.assign(state, { waiting: count, since, lastContact: lastContact ?? null });
      post = await readPost(journal);
    } catch (error) {
      // A store that is shut has a strip of its own on the screen.
      if (error.code !== "journal_refused") throw error;
    }
    onChange();
  }

  /** Exchange once; a failure is kept as its code and tried again later. */
  async function send() {
    if (state.busy || !isWriter) return;
    state.busy = true;
    try {
      await exchange({ journal, device, fetch: (...told) => fetch(...told), wall: () => Date.now(), name: "" }, STATION);
      state.failure = null;
    } catch (error) {
      if (error.code === undefined) throw error;
      state.failure = error.code;
    } finally {
      state.busy = false;
      await refresh();
    }
  }

  function begin() {
    send();
    addEventListener("online", send);
    setInterval(send, EVERY_MS);
  }

  return { begin, send, refresh, state: () => state, post: () => post };
}

/** The newest settings that the station sent down, or null. */
async function readPost(journal) {
  const lines = await readStation(journal, STATION);
  const told = lines.map((line) => JSON.parse(line)).filter((event) => event.kind === "post_set");
  return told.at(-1)?.facts ?? null;
}
