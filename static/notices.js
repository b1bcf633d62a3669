/**
 * Gather what the tablet must say about itself: the store, the shell, the screen lock.
 *
 * Holds states, never texts.
 */

/** Open the notices: setters for those who know, `now()` for the page. */
export function openNotices() {
  const now = {
    journal: { state: "kept", count: 0, reason: null },
    notes: [],
    shell: null,
    update: "none",
    wake: "none",
  };
  return {
    journal: (state, count, reason = null) => { now.journal = { state, count, reason }; },
    restored: (notes) => { now.notes = notes; },
    shell: (state) => { now.shell = state; },
    update: (state) => { now.update = state; },
    wake: (state) => { now.wake = state; },
    now: () => now,
  };
}
