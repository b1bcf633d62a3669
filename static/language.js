/**
 * Say things in the chosen language: texts by id, values with their units.
 *
 * A value never stands bare in a sentence: it is put in as a field and isolated, so
 * that it keeps its order in a language that runs from right to left. Knows no page.
 */

import { ChecklistError } from "./errors.js";
import { formatReading } from "./core/units.js";

const FIELD = /\{([a-z][a-z0-9_]*)\}/g;
const NO_BREAK = "\u00a0";
const BETWEEN = /\}(.+?)\{/;
// Letters alone, as the station tells them: signs and digits of these scripts stand in texts that run from the left, too.
const FROM_RIGHT = /(?=\p{L})[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u;
const RATE = "/";
const COUNTED = "n";
const PLURALS = 200;
const WHOLE = /^[0-9]+$/;

/** Tell whether a text has letters that run from the right. */
export const runsFromRight = (text) => FROM_RIGHT.test(text);

/**
 * Isolate a value for a text that runs from the right, so that it keeps its own order there. One of both kinds of letters
 * runs as the text does, whichever kind it begins with.
 */
const isolate = (value) => (value === "" ? "" : `${runsFromRight(value) ? "\u2067" : "\u2068"}${value}\u2069`);

/**
 * Make the words of one pack {lang, dir, decimal, order, units, plural, kind, m}.
 *
 * `fallback` is the source language's pack, used for an id that the pack lacks; what was said of it is
 * gathered in `foreign`, so that it can be marked. So is a text of the pack that these values do not fit. Gives {lang, name,
 * dir, kind, decimal, voice, source, text, whole, parts, has, isForeign, foreign, isolated, comma, semicolon, listed, quantity,
 * symbol, reading, ends, readingEnds, span}.
 */
export function makeWords(pack, fallback = pack) {
  const isRtl = pack.dir === "rtl";
  const isolated = isRtl ? isolate : (value) => value;
  const foreign = new Set();

  /** Tell whether a text is said in the source language: the pack lacks it, or has none that fits these values. */
  function isForeign(id, values = {}) {
    if (pack === fallback) return false;
    const form = pack.m[id] === undefined ? undefined : formOf(pack, id, values);
    return form === undefined || [...form.matchAll(FIELD)].some(([, name]) => isAbsent(values[name]));
  }

  function template(id, values) {
    const own = isForeign(id, values) ? undefined : formOf(pack, id, values);
    if (own !== undefined) return own;
    if (fallback.m[id] === undefined) throw new ChecklistError("words_missing", { id });
    if (Array.isArray(fallback.m[id]) && isAbsent(values[COUNTED])) throw new ChecklistError("words_missing", { id, field: COUNTED });
    // The source has a form for many, and that is said of what nobody counted.
    return formOf(fallback, id, values) ?? fallback.m[id].at(-1);
  }

  /** Split a text into its pieces: [{text}, {value}, …]; a field that the source's own text lacks throws. */
  function parts(id, values = {}) {
    const form = template(id, values);
    const pieces = [];
    let at = 0;
    for (const match of form.matchAll(FIELD)) {
      const value = values[match[1]];
      if (isAbsent(value)) throw new ChecklistError("words_missing", { id, field: match[1] });
      pieces.push({ text: form.slice(at, match.index) }, { value: String(value) });
      at = match.index + match[0].length;
    }
    pieces.push({ text: form.slice(at) });
    return pieces.filter((piece) => piece.text !== "");
  }

  /** Say a text; in a language that runs from right to left every value in it is isolated. */
  function text(id, values) {
    const said = parts(id, values).map((piece) => piece.text ?? isolated(piece.value)).join("");
    if (isForeign(id, values)) foreign.add(said);
    return said;
  }

  const has = (id) => pack.m[id] !== undefined || fallback.m[id] !== undefined;

  /** Say a text that is a value itself, such as an amount with a unit among the words; no line breaks between the two. */
  function whole(id, values) {
    const said = isolated(text(id, values).replaceAll(" ", NO_BREAK));
    if (isForeign(id, values)) foreign.add(said);
    return said;
  }

  // What a draft has lost is taken from the source.
  const between = (id) => (BETWEEN.exec(template(id, { first: "", next: "" })) ?? BETWEEN.exec(fallback.m[id]))[1];
  /** Give what stands between two things that are told one after the other. */
  const comma = () => between("app.list");
  /** Give what stands between two that may hold commas themselves. */
  const semicolon = () => between("app.list_of_lists");

  /** Tell things one after the other, as the language does; what is empty is left out. `by` is the text that says what stands between. */
  function listed(said, by = "app.list") {
    const things = said.filter(Boolean);
    if (things.length < 2) return things.join("");
    const told = things.map(isolated).join(between(by));
    if (things.some((one) => foreign.has(one))) foreign.add(told);
    return told;
  }

  // No line breaks within a sign of several words either.
  const symbolOf = (unit) => (pack.units[unit] ?? unit).replaceAll(" ", NO_BREAK);
  const digitsOf = (number) => String(number).replace(".", pack.decimal);
  // What is counted in a minute stands behind its number everywhere: "142 /min".
  const isUnitFirst = (unit) => pack.order === "un" && !symbolOf(unit).startsWith(RATE);

  function bare(number, unit) {
    const [digits, symbol] = [digitsOf(number), symbolOf(unit)];
    if (digits === "") return symbol;
    return isUnitFirst(unit) ? symbol + NO_BREAK + digits : digits + NO_BREAK + symbol;
  }

  /** Put a number beside its unit, in the order of the language; no number gives the unit alone. */
  function quantity(number, unit) {
    return isolated(bare(number, unit));
  }

  /** Show a gauge reading, in thousandths of its unit. */
  function reading(unit, thousandths) {
    return quantity(formatReading(unit, thousandths), unit);
  }

  /** Give the two ends of a range as values {low, high}: its unit stands once, at the end of it where the language puts it. */
  function ends(low, high, unit) {
    return isUnitFirst(unit) ? { low: quantity(low, unit), high: digitsOf(high) } : { low: digitsOf(low), high: quantity(high, unit) };
  }

  /** Give the two ends of a range of gauge readings, in thousandths of the unit. */
  function readingEnds(unit, low, high) {
    return ends(formatReading(unit, low), formatReading(unit, high), unit);
  }

  /** Show a length of time in minutes as hours and minutes; the letters of the units say which way both run. */
  function span(minutes) {
    if (minutes < 60) return quantity(minutes, "min");
    const rest = minutes % 60;
    const hours = bare(Math.floor(minutes / 60), "h");
    return isolated(rest === 0 ? hours : `${hours} ${bare(rest, "min")}`);
  }

  return {
    lang: pack.lang, name: pack.name, dir: pack.dir, kind: pack.kind, decimal: pack.decimal, voice: pack.voice ?? {},
    source: { lang: fallback.lang, name: fallback.name, dir: fallback.dir }, text, whole, parts, has, isForeign, foreign, isolated, comma, semicolon, listed, quantity, symbol: symbolOf, reading, ends, readingEnds, span,
  };
}

const isAbsent = (value) => value === undefined || value === null;

/** Give a pack's form of a text for n; of a text with forms for a number none, where n is no whole number. */
function formOf(pack, id, values) {
  const found = pack.m[id];
  if (!Array.isArray(found)) return found;
  const n = values[COUNTED];
  if (!WHOLE.test(n)) return undefined;
  // Above the table its last hundred comes again and again.
  return found[Number(pack.plural[n < PLURALS ? n : 100 + (n % 100)])];
}

/** Show a wall time in ms as a time of day, 24 hours. */
export function time(ms) {
  const date = new Date(ms);
  return `${two(date.getHours())}:${two(date.getMinutes())}`;
}

/** Show a wall time in ms as a day and a time of day. */
export function dayTime(ms) {
  const date = new Date(ms);
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())} ${time(ms)}`;
}

/** Show a running time in ms as minutes and seconds. */
export function running(ms) {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  return `${Math.floor(seconds / 60)}:${two(seconds % 60)}`;
}

function two(number) {
  return String(number).padStart(2, "0");
}
