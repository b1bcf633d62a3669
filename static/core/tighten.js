/**
 * Make a protocol stricter for one post, and refuse whatever would make it looser.
 *
 * Changes are one line of text, `cup_minutes.caution=8 cup_minutes.stop=15`: sorted,
 * one space between, whole numbers in the row's own unit. The text is what is signed
 * and hashed, so it has one spelling only.
 */

import { ChecklistError } from "../errors.js";
import { limitRow } from "./protocol.js";
import { readingFromPascals, shownDecimals, UNITS } from "./units.js";

const LONGEST_CHANGES = 2000;
const PIECE = /^([a-z][a-z0-9_]{0,39})\.(caution|stop)=(0|[1-9][0-9]{0,5})$/;

/**
 * Give the protocol with stricter limits; the one that came in stays as it is.
 *
 * Throws limits_refused with where, why (malformed, unsorted, too_long, unknown, fixed,
 * looser, too_small, past_stop) and the bound that was passed, if one was.
 */
export function tighten(protocol, changes) {
  const wanted = new Map();
  for (const [limit, level, value] of readChanges(changes)) {
    const where = `${limit}.${level}`;
    const row = limitRow(protocol, limit);
    if (row === null) refuse(where, "unknown");
    const bounds = settable(row);
    if (!Object.hasOwn(bounds, level)) refuse(where, "fixed");
    const { loosest, least } = bounds[level];
    if (value > loosest) refuse(where, "looser", loosest);
    if (value < least) refuse(where, "too_small", least);
    wanted.set(limit, { ...wanted.get(limit), [level]: value });
  }
  return { ...protocol, limits: protocol.limits.map((row) => tightened(row, wanted.get(row.id) ?? null)) };
}

/**
 * Tell which levels of a limit a post may set: {level: {loosest, least}}, in its unit.
 *
 * Counts and times may have an earlier caution and an earlier stop, suction a lower
 * ceiling; a caution that one is left moves with its stop alone; what is done or not done, and a band of heart beats, stand as they are.
 */
export function settable(row) {
  const shipped = {};
  // A limit may have two cautions; the first one is the one that is set.
  for (const { level, at } of row.levels) shipped[level] ??= at;
  if (Object.hasOwn(shipped, "stop") && (row.outer ?? null) !== null) shipped.stop = Math.min(shipped.stop, row.outer);
  if (["count", "time"].includes(row.judge)) {
    const names = ["caution", "stop"].filter((name) => Object.hasOwn(shipped, name) && !(name === "caution" && leavesOne(row)));
    return Object.fromEntries(names.map((name) => [name, { loosest: shipped[name], least: 1 }]));
  }
  if (row.judge === "suction" && Object.hasOwn(shipped, "stop")) {
    return { stop: { loosest: shipped.stop, least: shipped.caution } };
  }
  return {};
}

/** Read changes as [limit, level, value]; throws limits_refused unless spelled the one way. */
export function readChanges(changes) {
  if (typeof changes !== "string") refuse("changes", "malformed");
  const found = (changes === "" ? [] : changes.split(" ")).map((piece) => {
    const told = PIECE.exec(piece);
    if (told === null) refuse("changes", "malformed");
    return [told[1], told[2], Number(told[3])];
  });
  const names = found.map(([limit, level]) => `${limit}.${level}`);
  if (names.some((name, index) => index > 0 && name <= names[index - 1])) refuse("changes", "unsorted");
  if (changes.length > LONGEST_CHANGES) refuse("changes", "too_long", LONGEST_CHANGES);
  return found;
}

/** Write values, by names like cup_minutes.stop, the one way it is spelled. */
export function writeChanges(values) {
  return Object.keys(values).sort().map((name) => `${name}=${values[name]}`).join(" ");
}

/** Give the text whose SHA-256 names the protocol made stricter; base is a digest. */
export function digestText(base, changes) {
  return `limits/1\n${base}\n${changes}`;
}

function tightened(row, wanted) {
  if (wanted === null) return row;
  if (row.judge === "suction") return lowerCeiling(row, wanted.stop);
  const shipped = row.levels.find(({ level }) => level === "stop")?.at ?? null;
  const stop = wanted.stop ?? shipped;
  const caution = wanted.caution ?? null;
  if (caution !== null && stop !== null && caution > stop) refuse(`${row.id}.caution`, "past_stop", stop);
  let isFirst = true;
  const levels = row.levels.map((level) => {
    if (level.level === "stop") return { ...level, at: stop };
    if (level.level !== "caution") return level;
    const own = leavesOne(row) ? Math.max(stop - 1, 1) : caution ?? level.at;
    const at = isFirst ? own : level.at;
    isFirst = false;
    // A later caution comes with the stop at the latest: "the last pull" stays the last.
    return { ...level, at: stop === null ? at : Math.min(at, stop) };
  });
  return { ...row, levels };
}

/** Tell whether the first caution says that one is left, as where a second one is for the last: it stands one before the stop. */
function leavesOne(row) {
  return row.judge === "count" && row.levels.map(({ level }) => level).join() === "caution,caution,stop";
}

function lowerCeiling(row, kpa) {
  const pa = kpa * 1000;
  const ceiling = Object.fromEntries(UNITS.map((unit) => [unit, Math.min(row.ceiling[unit], markBelow(unit, pa))]));
  const levels = row.levels.map((level) => (level.level === "stop" ? { ...level, at: kpa } : level));
  return { ...row, levels, ceiling, ceiling_pa: pa };
}

/** Give the last mark of a gauge that is not above so many pascals, in thousandths. */
function markBelow(unit, pa) {
  const step = 1000 / 10 ** shownDecimals(unit);
  const reading = readingFromPascals(unit, pa);
  return reading - (reading % step);
}

function refuse(where, why, bound = null) {
  throw new ChecklistError("limits_refused", { where, why, ...(bound !== null && { bound }) });
}
