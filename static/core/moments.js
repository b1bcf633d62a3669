/**
 * Lay events along one clock that never runs backwards.
 *
 * Two events of one page run are as far apart as its own clock says, for that clock
 * never jumps. Across page runs only the wall clock is left. A tablet that slept and a
 * wall clock that was set forward look alike from inside: the longer time is taken,
 * since too few minutes is the dangerous mistake, and the doubt is kept.
 */

export const JUMP_MS = 5000;

/**
 * Place ordered events in time.
 *
 * `causes` gives for each event what a `clock_jumped` says of the gap before it
 * ("set", "slept", "unknown") or null. Gives [[{ms, floor_ms, doubts}], restarts] with ms
 * since the first event, floor_ms the least it can be, and the doubts so far.
 */
export function moments(events, causes) {
  const placed = [];
  let restarts = 0;
  events.forEach((event, index) => {
    if (index === 0) {
      placed.push({ ms: 0, floor_ms: 0, doubts: 0 });
      return;
    }
    const before = events[index - 1];
    if (before.boot !== event.boot) restarts += 1;
    const [gap, floor, doubt] = apart(before, event, causes[index]);
    const last = placed.at(-1);
    placed.push({
      ms: last.ms + gap, floor_ms: last.floor_ms + floor, doubts: last.doubts + (doubt ? 1 : 0),
    });
  });
  return [placed, restarts];
}

/** Tell how far two stamps {at, boot, tick} are apart: [ms, least ms, doubt]. */
export function apart(a, b, cause) {
  const wall = b.at - a.at;
  if (a.boot !== b.boot) return [Math.max(wall, 0), Math.max(wall, 0), wall < 0];
  const own = Math.max(b.tick - a.tick, 0);
  if (wall - own <= JUMP_MS || cause === "set") return [own, own, false];
  if (cause === "slept") return [wall, wall, false];
  return [wall, own, true];
}
