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
import { standIns } from "./preview_parts.js";
import { walkTo } from "./preview_walk.js";

const LOG = "0".repeat(32);

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
  const { name, dir, kind, script, sample, fallback, lists } = pack;
  contents.packs = [...contents.packs.filter((one) => one.tag !== tag), { tag, name, dir, kind, script, sample, fallback, lists }];
  const { clock, pass } = movingClock();
  const parts = {
    ...standIns(tag), root: document.body, clock, isWriter: true, isDemo: true, release: "preview",
    notices: openNotices(), journal: openMemoryJournal(),
  };
  const { voice } = parts;
  parts.device = { id: LOG, key: "", log: () => LOG, next: () => ({ log: LOG, seq: parts.journal.last(LOG) + 1 }) };
  parts.tables = await readTables(base, tag, { contents, read });
  useKinds(parts.tables.kinds);
  parts.languages = parts.tables.languages;
  // Here the draft is what is looked at.
  await parts.languages.coming();
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
    whole: (id, values) => { asked.add(id); return words.whole(id, values); },
  });
  return { ...speech, of: (...told) => heard(speech.of(...told)), live: () => heard(speech.live()) };
}

async function find(parts, asked, pass, pack, { name, missing, english }) {
  const [script] = parts.scripts.list();
  const opening = { mode: "practice", release: "preview", language: parts.languages.chosen(), script: script.id, pace: 1 };
  const found = await walkTo({
    screen: parts.screen, desk: parts.desk, protocol: parts.desk.protocol().table, script, pass, open: () => parts.desk.open(opening),
    isDrawn: () => { const is = asked.has(name); asked.clear(); return is; },
  });
  if (found) mark(pack.m[name] ?? english);
  else say(missing);
}

/** Mark whatever on the screen says the text. */
function mark(said) {
  const pieces = [said].flat().flatMap((form) => form.split(/\{[a-z][a-z0-9_]*\}/)).map((one) => one.trim());
  const longest = breaking(pieces.reduce((most, one) => (one.length > most.length ? one : most), ""));
  if (!longest) return;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (!breaking(node.textContent).includes(longest)) continue;
    node.parentElement.dataset.looked = "";
    node.parentElement.scrollIntoView({ block: "center" });
  }
}

/** Where a line may not break is no part of what a text says. */
function breaking(text) {
  return text.replaceAll("\u00a0", " ");
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
