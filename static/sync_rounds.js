/**
 * Decide when to exchange: at the start, when the network comes back, now and
 * then, and when asked. A failed round is tried again later and later.
 *
 * Never runs two rounds at once and never holds up anything else.
 */

const EVERY_MS = 15 * 60 * 1000;
const FIRST_RETRY_MS = 30 * 1000;

/**
 * Start the rounds: {now, stop, first}, where `first` resolves when the first round has ended, well or not.
 *
 * `round()` is one exchange; `count()` tells {count, since, lastContact}. `onState`
 * hears {busy, waiting, since, lastContact, reason, facts, report}: reason is an
 * error code or null, report what the last good round gave. `now()` is the button.
 */
export function startRounds({ round, count, onState, every = EVERY_MS, chance = Math.random }) {
  let timer;
  let busy = false;
  let failures = 0;
  let last = { reason: null, facts: {}, report: null };

  async function tell() {
    const { count: waiting, since, lastContact } = await count();
    onState({ busy, waiting, since, lastContact, ...last });
  }

  async function now() {
    if (busy) return;
    busy = true;
    clearTimeout(timer);
    await tell();
    try {
      last = { reason: null, facts: {}, report: await round() };
      failures = 0;
    } catch (error) {
      // A bug must not look like a missing network, yet must not end the rounds.
      last = { reason: error.code ?? "unexpected", facts: error.facts ?? { why: String(error) }, report: last.report };
      failures += 1;
    }
    busy = false;
    timer = setTimeout(now, pause());
    await tell();
  }

  /** Many tablets come back at once when a station does: spread them. */
  function pause() {
    const wait = failures === 0 ? every : Math.min(FIRST_RETRY_MS * 2 ** (failures - 1), every);
    return wait * (0.5 + chance());
  }

  /** End the rounds; one that is under way ends by itself. */
  function stop() {
    clearTimeout(timer);
    window.removeEventListener("online", now);
  }

  window.addEventListener("online", now);
  return { now, stop, first: now() };
}
