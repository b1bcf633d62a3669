/**
 * The station of this tablet: what it set, what waits for it and for the hub, and the ways to it.
 *
 * A one-time code lets the tablet in; a file carries what waits where no network does.
 */

import { dayTime } from "../language.js";
import { fingerprint, makeStick } from "../stick.js";
import { readAim } from "../sync.js";
import { el, say, value } from "../ui/dom.js";
import { icon } from "../ui/icons.js";
import { key } from "../ui/key.js";
import { setting } from "../ui/setting.js";
import { shareFile } from "../ui/share.js";

const STATION = "";
// Eight letters, and room for the hyphen and a space that people type between them.
const MOST_LETTERS = 12;
const STICK_TYPE = "application/octet-stream";

// What was last tried here and how it ended: {id, values} of the words that say it, or null.
let told = null;
let isBusy = false;

/** Draw the station's part of the settings. */
export function stationPart(view) {
  const { words } = view;
  return setting(words, "station", whatItSet(view), el("ul", { class: "states" }, waits(view)),
    el("p", { class: "kept", role: "status" }, told ? say(words, told.id, told.values) : null),
    letIn(view), byFile(view));
}

/** What the station set, to read only. */
function whatItSet({ words, link }) {
  const post = link.post();
  if (post === null) return el("p", {}, words.text("settings.station.none"));
  const rows = [
    ["post", el("bdi", {}, post.post)], ["height", post.altitude_m === undefined ? null : value(words.quantity(post.altitude_m, "m"))],
    ["gauge", value(words.quantity("", post.gauge_unit).trim())], ["contraction", value(words.quantity(post.same_contraction_s, "s"))]];
  return el("dl", { class: "facts-of" }, rows.map(([id, shown]) => el("div", { class: "fact" }, el("dt", {}, words.text(`settings.station.${id}`)), el("dd", {}, shown ?? words.text("app.not_recorded")))));
}

function waits({ words, link }) {
  const { waiting, since, hub } = link.state();
  const line = (isFine, id, n, from) => el("li", {}, icon(isFine ? "yes" : "clock"),
    el("span", {}, isFine ? words.text(`${id}.all`) : [say(words, `${id}.some`, { n }), from ? [". ", say(words, "home.waiting_since", { when: dayTime(from) })] : null]));
  return [line(waiting === 0, "settings.station.here", waiting, since), hub ? line(hub.count === 0, "settings.station.hub", hub.count, hub.since) : null];
}

/** A tablet that waits to be let in types the code that the station shows. */
function letIn(view) {
  const { words, link, isWriter } = view;
  const field = el("input", { id: "pair-code", type: "text", maxlength: MOST_LETTERS, autocomplete: "off", autocapitalize: "characters", spellcheck: "false" });
  const tap = () => field.value.trim() && attempt(view, async () => {
    await link.pairWith(field.value.trim());
    return { id: "settings.station.let_in", values: {} };
  });
  const button = key({ name: "pair", sign: "yes", label: words.text("settings.station.pair"), onTap: tap });
  button.disabled = !isWriter || isBusy;
  return el("div", { class: "pair" }, el("label", { for: "pair-code" }, words.text("settings.station.code")), field, button);
}

/** What the hub does not hold yet, sealed to it, as a file for a stick or another app. */
function byFile(view) {
  const { words, journal, device, stamp, isDemo, isWriter } = view;
  const tap = () => attempt(view, async () => {
    const { sealing, held } = await readAim(journal, STATION);
    if (!sealing) return { id: "settings.station.no_hub", values: {} };
    const { name, bytes, events } = await makeStick({ journal, device }, sealing, held ?? [], stamp().at, isDemo);
    const end = await shareFile(name, bytes, STICK_TYPE);
    return { id: `settings.station.file.${end}`, values: end === "failed" || end === "cancelled" ? {} : { n: events, letters: await fingerprint(sealing) } };
  });
  const button = key({ name: "stick", sign: "send", label: words.text("settings.station.stick"), note: words.text("settings.station.stick_note"), onTap: tap });
  button.disabled = !isWriter || isBusy;
  return button;
}

/** Try one thing at a time; how it ended stays to be read. */
async function attempt({ words, redraw }, work) {
  if (isBusy) return;
  isBusy = true;
  told = { id: "settings.station.busy", values: {} };
  redraw();
  try {
    told = await work();
  } catch (error) {
    const id = `problem.${error.code}`;
    if (!error.code) throw error;
    told = { id: words.has(id) ? id : "settings.station.unreached", values: {} };
  } finally {
    isBusy = false;
    redraw();
  }
}
