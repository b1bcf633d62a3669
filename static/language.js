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

/**
 * Make the words of one pack {lang, dir, decimal, order, units, m}.
 *
 * `fallback` is the source language's pack, used for an id that the pack lacks.
 * Gives {lang, dir, decimal, text, parts, has, quantity, reading, span}.
 */
export function makeWords(pack, fallback = pack) {
  function template(id) {
    const found = pack.m[id] ?? fallback.m[id];
    if (found === undefined) throw new ChecklistError("words_missing", { id });
    return found;
  }

  /** Split a text into its pieces: [{text}, {value}, …]; a missing field throws. */
  function parts(id, values = {}) {
    const pieces = [];
    let at = 0;
    for (const match of template(id).matchAll(FIELD)) {
      const value = values[match[1]];
      if (value === undefined || value === null) throw new ChecklistError("words_missing", { id, field: match[1] });
      pieces.push({ text: template(id).slice(at, match.index) }, { value: String(value) });
      at = match.index + match[0].length;
    }
    pieces.push({ text: template(id).slice(at) });
    return pieces.filter((piece) => piece.text !== "");
  }

  const text = (id, values) => parts(id, values).map((piece) => piece.text ?? piece.value).join("");
  const has = (id) => pack.m[id] !== undefined || fallback.m[id] !== undefined;

  /** Put a number beside its unit, in the order of the language. */
  function quantity(number, unit) {
    const digits = String(number).replace(".", pack.decimal);
    const symbol = pack.units[unit] ?? unit;
    return pack.order === "un" ? symbol + NO_BREAK + digits : digits + NO_BREAK + symbol;
  }

  /** Show a gauge reading, in thousandths of its unit. */
  function reading(unit, thousandths) {
    return quantity(formatReading(unit, thousandths), unit);
  }

  /** Show a length of time in minutes as hours and minutes. */
  function span(minutes) {
    if (minutes < 60) return quantity(minutes, "min");
    const rest = minutes % 60;
    const hours = quantity(Math.floor(minutes / 60), "h");
    return rest === 0 ? hours : `${hours} ${quantity(rest, "min")}`;
  }

  return { lang: pack.lang, dir: pack.dir, decimal: pack.decimal, text, parts, has, quantity, reading, span };
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
