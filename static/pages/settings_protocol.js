/**
 * The protocol in force: who signed it, and every limit with its source and how it is known.
 *
 * What a table of the protocol says in words of its own is shown in its own language.
 */

import { dayTime } from "../language.js";
import { el, say, value } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";

const TABLE_LANGUAGE = "en";

/** Draw the protocol in force with its limits. */
export function protocolPart(view) {
  const { words, protocol, digest } = view;
  return el("section", { class: "setting protocol", data: { setting: "protocol" } },
    el("h2", { class: "lead" }, words.text("settings.protocol")), el("p", { class: "why" }, words.text("settings.protocol.why")),
    el("dl", { class: "facts-of" }, fact(words, "name", [value(protocol.id), " ", value(digest)]), fact(words, "released", value(protocol.released)),
      fact(words, "sign_off", el("span", { lang: TABLE_LANGUAGE }, protocol.sign_off)), ofPost(view)),
    refused(view), limits(view),
    key({ name: "card", sign: "print", label: words.text("card.title"), note: words.text("card.open_note"), onTap: () => view.go("card") }));
}

/** Which stricter limits of the post stand in the table below, and who signed them. */
function ofPost({ words, limits: set }) {
  if (!set || set.changes === "") return null;
  return fact(words, "limits", say(words, "settings.protocol.limits.set", {
    n: String(set.number), post: set.post, date: dayTime(set.at), by: set.by, signed_by: set.signed_by }));
}

/** A set that is looser than allowed, or cannot be read, is said to be left out. */
function refused({ words, refusedLimits: wrong }) {
  return wrong ? el("p", { class: "caution", role: "status" }, icon("caution"), say(words, "settings.protocol.limits.refused", { n: String(wrong.number) })) : null;
}

function fact(words, id, shown) {
  return el("div", { class: "fact" }, el("dt", {}, words.text(`settings.protocol.${id}`)), el("dd", {}, shown));
}

function limits(view) {
  const { words, protocol } = view;
  const columns = ["limit", "caution", "stop", "outer", "source"].map((id) => words.text(`settings.column.${id}`));
  return el("table", { class: "limits" }, el("caption", {}, words.text("settings.limits")),
    el("thead", {}, el("tr", {}, columns.map((name) => el("th", { scope: "col" }, name)))),
    el("tbody", {}, protocol.limits.map((row) => limit(view, row, columns))));
}

function limit(view, row, columns) {
  const { words } = view;
  const cells = [levelText(view, row, "caution"), levelText(view, row, "stop"), row.outer === null ? null : amount(words, row, row.outer)];
  return el("tr", {}, el("th", { scope: "row" }, nameOf(words, row)),
    cells.map((cell, index) => el("td", { data: { column: columns[index + 1] } }, el("span", {}, cell ?? "–"))),
    el("td", { class: "sources", data: { column: columns[4] } }, sources(view, row)));
}

/** A limit of a newer protocol may have no name yet; its id still says which it is. */
function nameOf(words, { id }) {
  const name = `settings.limit.${id}`;
  return words.has(name) ? words.text(name) : id;
}

/** When a level is reached, in the limit's own terms. */
function levelText(view, row, level) {
  const { words, theCase, link } = view;
  const reached = row.levels.filter((one) => one.level === level);
  if (!reached.length) return row.levels[0].level === "unknown" && level === "caution" ? words.text("settings.until_told") : null;
  const mark = icon(level);
  if (row.judge === "done") return [mark, words.text(level === "stop" ? "settings.when_found" : "settings.until_done")];
  if (row.judge === "rate") return [mark, outside(words, words.ends(row.low, row.high, "bpm"))];
  if (row.judge === "suction") return [mark, band(words, row, level, theCase?.gauge_unit ?? link.post()?.gauge_unit ?? "kpa")];
  return [mark, reached.map((one, index) => [index ? words.comma() : "", amount(words, row, one.at)])];
}

function band(words, row, level, unit) {
  const [low, high] = [row.floor[unit], row.ceiling[unit]];
  if (level === "stop") return say(words, "settings.above", { high: words.reading(unit, high) });
  return row.levels.length > 1 ? say(words, "settings.below", { low: words.reading(unit, low) })
    : outside(words, words.readingEnds(unit, low, high));
}

function outside(words, ends) {
  return el("span", {}, say(words, "settings.outside", ends));
}

function amount(words, row, number) {
  if (row.judge === "time") return value(words.quantity(number, "min"));
  return value(row.judge === "suction" ? words.quantity(number, "kpa") : String(number));
}

function sources({ protocol }, { source, known }) {
  return el("span", { lang: TABLE_LANGUAGE }, source.map((id, index) => [index ? "; " : "", protocol.sources[id].title]), ". ", el("b", {}, known));
}
