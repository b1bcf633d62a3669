/**
 * The tablet's own screens with a language as it stands, in a frame: nothing here is real or kept.
 *
 * Builds the same parts as the app does, but in memory: no disk, no exchange, no sound, no settings
 * of the real tablet that may live in the same browser.
 */

import { makeAttention } from "../attention.js";
import { startClock } from "../clock.js";
import { useKinds } from "../core/kinds.js";
import { openDesk } from "../desk.js";
import { watchDues } from "../due.js";
import { openFoot } from "../foot.js";
import { openKit } from "../kit.js";
import { readTables } from "../loading.js";
import { openNotices } from "../notices.js";
import { openPageWords } from "../page_words.js";
import { openRules } from "../rules.js";
import { openScreen } from "../screen.js";
import { openScripts } from "../scripts.js";
import { openMemoryJournal } from "./memory_journal.js";
import { walkTo } from "./preview_walk.js";

const LOG = "0".repeat(32);
const SETTINGS = { theme: "day", hand: "right", mm: "", beds: 8, bed_names: "numbers", foot: "off" };
const nothing = () => {};
const none = async () => {};

async function begin(told) {
  const base = new URL(told.base, location);
  const pack = await (await fetch(told.pack)).json();
  const { parts, asked, pass } = await build(base, told.tag, pack);
  await parts.screen.begin();
  await parts.scripts.read();
  if (told.name) await find(parts, asked, pass, pack, told);
  document.documentElement.dataset.begun = "preview";
}

async function build(base, tag, pack) {
  const read = async (path) => (path === `packs/${tag}.json` ? pack : (await fetch(new URL(path, base))).json());
  const contents = await read("contents.json");
  const named = { tag, name: pack.name, dir: pack.dir, kind: "draft", script: pack.script, sample: pack.sample, fallback: pack.fallback, lists: {} };
  contents.packs = [...contents.packs.filter((one) => one.tag !== tag), named];
  const { clock, pass } = movingClock();
  const settings = { ...SETTINGS, language: tag };
  const voice = { wake: nothing, play: () => ({ ms: 0, end: nothing }), back: nothing, hush: nothing, load: none, has: () => false, state: () => "off" };
  const parts = {
    root: document.body, clock, isWriter: true, isDemo: true, release: "preview", voice, notices: openNotices(), journal: openMemoryJournal(),
    settings: { get: (name) => settings[name], set: (name, value) => { settings[name] = value; }, language: () => settings.language },
    lock: { look: nothing, touch: nothing, close: nothing, isShut: () => false, isSet: () => false, isUnknown: () => false, waitMs: () => 0 },
    link: { refresh: nothing, send: nothing, post: () => null, heard: () => [], isHere: () => false, listen: none, state: () => ({ waiting: 0, since: null, lastContact: null, failure: null, hub: null }) },
    wake: { start: nothing, stop: nothing }, shell: { caseOpened: none, caseClosed: none, update: nothing },
  };
  const { journal } = parts;
  parts.device = { id: LOG, key: "", log: () => LOG, next: () => ({ log: LOG, seq: journal.last(LOG) + 1 }) };
  parts.tables = await readTables(base, tag, { contents, read });
  useKinds(parts.tables.kinds);
  parts.languages = parts.tables.languages;
  const asked = new Set();
  parts.speech = listening(openPageWords(parts), asked);
  const changed = (why) => parts.screen?.changed(why);
  parts.rules = openRules(parts.tables);
  parts.desk = openDesk({ ...parts, onChange: changed });
  parts.kit = openKit({ ...parts, onChange: () => changed("kit") });
  parts.foot = openFoot({ settings: parts.settings, stamp: clock.stamp });
  parts.attention = makeAttention({ desk: parts.desk, ...voice });
  parts.dues = watchDues({ ...parts, play: voice.play, onChange: () => changed("dues") });
  parts.scripts = openScripts({ base, paths: parts.tables.practice, onRead: () => changed("scripts") });
  parts.screen = openScreen(parts);
  return { parts, asked, pass };
}

/** Hear which texts a screen asks for. */
function listening(speech, asked) {
  const heard = (words) => ({
    ...words,
    text: (id, values) => { asked.add(id); return words.text(id, values); },
    parts: (id, values) => { asked.add(id); return words.parts(id, values); },
  });
  return { ...speech, of: (...told) => heard(speech.of(...told)), live: () => heard(speech.live()) };
}

async function find(parts, asked, pass, pack, { name, missing, english }) {
  const found = await walkTo({
    screen: parts.screen, desk: parts.desk, protocol: parts.desk.protocol().table, script: parts.scripts.list()[0], pass,
    open: () => parts.desk.open({ mode: "practice", release: "preview", language: parts.languages.chosen(), script: parts.scripts.list()[0].id, pace: 1 }),
    isDrawn: () => { const is = asked.has(name); asked.clear(); return is; },
  });
  if (found) mark(pack.m[name] ?? english);
  else say(missing);
}

/** Mark whatever on the screen says the text. */
function mark(said) {
  const longest = [said].flat().flatMap((form) => form.split(/\{[a-z][a-z0-9_]*\}/)).map((one) => one.trim()).reduce((a, b) => (b.length > a.length ? b : a), "");
  if (!longest) return;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (!node.textContent.includes(longest)) continue;
    node.parentElement.dataset.looked = "";
    node.parentElement.scrollIntoView({ block: "center" });
  }
}

function say(text) {
  const note = document.createElement("p");
  note.className = "not-found";
  note.setAttribute("role", "status");
  note.textContent = text;
  document.body.before(note);
}

/** A clock that can be moved on, so that what comes with time can be seen at once. */
function movingClock() {
  let passed = 0;
  const clock = startClock({ wall: () => Date.now() + passed, tick: () => performance.now() + passed });
  return { clock, pass: (seconds) => { passed += seconds * 1000; } };
}

begin(JSON.parse(document.querySelector("[data-part=told]").textContent));
