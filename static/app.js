/**
 * Build the parts, hand them to the pages; the only file with effects when loaded.
 */

import { makeAttention } from "./attention.js";
import { lookOften, startClock } from "./clock.js";
import { seal } from "./core/event.js";
import { useKinds } from "./core/kinds.js";
import { openDesk } from "./desk.js";
import { holdWriter, openDevice } from "./device.js";
import { watchDues } from "./due.js";
import { openFoot } from "./foot.js";
import { openJournal } from "./journal.js";
import { openKit } from "./kit.js";
import { readTables, readWords } from "./loading.js";
import { openLink } from "./link.js";
import { openLock } from "./lock.js";
import { openNotices } from "./notices.js";
import { openPageWords } from "./page_words.js";
import { openSettings } from "./preferences.js";
import { openRetreat } from "./retreat.js";
import { layBallast } from "./room.js";
import { openRules } from "./rules.js";
import { openScreen } from "./screen.js";
import { openScripts } from "./scripts.js";
import { startShell } from "./shell.js";
import { el } from "./ui/dom.js";
import { openSound } from "./ui/sound.js";
import { openVoice } from "./voice.js";
import { wakeKeeper } from "./wake.js";

const { release, demo } = document.documentElement.dataset;
const BASE = new URL(".", import.meta.url);

function start() {
  const clock = startClock();
  const settings = openSettings(document.documentElement);
  const reading = readTables(BASE, settings.language());
  // Its failure is said where it is waited for.
  reading.catch(() => {});
  let role = null;
  holdWriter((now) => {
    // The page that wrote is gone: start anew, this time as the one that writes.
    if (role !== null) location.reload();
    else begin({ clock, settings, reading, isWriter: now === "writer" }).catch((error) => sayFailure(error, settings));
    role = now;
  });
}

async function begin({ clock, settings, reading, isWriter }) {
  const parts = { root: document.body, clock, settings, isWriter, isDemo: demo === "demo", release };
  parts.notices = openNotices();
  parts.journal = await openJournal({ writer: isWriter, onState: (...told) => hearJournal(parts, ...told) });
  parts.notices.restored(parts.journal.notes);
  parts.device = isWriter ? await openDevice({ journal: parts.journal, seal, stamp: clock.stamp }) : null;
  parts.tables = await reading;
  useKinds(parts.tables.kinds);
  parts.languages = parts.tables.languages;
  parts.speech = openPageWords(parts);
  parts.voice = openVoice({ sound: openSound(), wordsNow: parts.speech.live, fetched });
  const changed = (why) => {
    parts.screen?.changed(why);
    parts.retreat?.fill();
  };
  parts.rules = openRules(parts.tables);
  parts.desk = openDesk({ ...parts, onChange: changed });
  parts.kit = openKit({ ...parts, onChange: () => changed("kit") });
  parts.foot = openFoot({ settings, stamp: clock.stamp });
  parts.lock = openLock({ ...parts, stamp: clock.stamp, onChange: () => changed("lock") });
  await parts.lock.begin();
  parts.attention = makeAttention({ desk: parts.desk, ...parts.voice });
  parts.dues = watchDues({ ...parts, play: parts.voice.play, onChange: () => changed("dues") });
  parts.link = openLink({ ...parts, onChange: () => changed("link"), onHeard: parts.rules.take, onContact: () => parts.shell?.look() });
  parts.scripts = openScripts({ base: BASE, paths: parts.tables.practice, onRead: () => changed("scripts") });
  parts.wake = wakeKeeper((state) => parts.notices.wake(state));
  parts.screen = openScreen(parts);
  parts.retreat = openRetreat({ root: parts.root, isOpen: () => isOpen(parts.desk), onStay: parts.screen.stay });
  // A birth may begin, or go on, with the first picture: by the limits of the post.
  await parts.link.listen();
  await parts.screen.begin();
  document.documentElement.dataset.begun = isWriter ? "writer" : "reader";
  performance.mark("begun");
  parts.languages.coming().then((isNews) => isNews && speakAnew(parts));
  await startAround(parts, changed);
  document.documentElement.dataset.settled = "";
}

/** Start what no tap waits for. */
async function startAround(parts, changed) {
  const { desk, clock, notices } = parts;
  const reading = parts.scripts.read();
  // Read before anything that may wait long: what is to be heard in a birth is on the tablet before it.
  const heard = parts.voice.load(parts.speech.live());
  parts.shell = await startShell({
    release,
    onReady: (state) => { notices.shell(state); changed("shell"); },
    onUpdate: (state) => { notices.update(state); changed("shell"); },
  });
  await parts.dues.settled();
  if (desk.caseId() || parts.dues.cases().length) await parts.shell.caseOpened();
  if (!parts.isWriter) return;
  const jumped = (jump) => desk.caseId() && desk.record("clock_jumped", jump, { tap: false });
  lookOften(clock.watch(jumped), 1000);
  const exchanged = parts.link.begin();
  layBallast();
  await Promise.all([reading, heard]);
  if (await parts.languages.look()) await speakAnew(parts);
  await exchanged;
}

/** The words of the pages are others than before: draw them, and be able to say them. */
async function speakAnew({ screen, voice, speech }) {
  screen.changed("letters");
  await voice.load(speech.live());
}

/** A page that cannot begin says why; one that has begun stays, with all it shows. */
async function sayFailure(error, settings) {
  if (document.documentElement.dataset.begun === undefined) {
    const { told, lang, dir } = await failureWords(error.code, settings.language());
    Object.assign(document.documentElement, { lang, dir });
    document.body.replaceChildren(el("main", { class: "failed", role: "alert" }, el("h1", { class: "lead" }, told)));
  }
  console.error(error);
}

/** Say why, and in which language that is. */
async function failureWords(code, language) {
  try {
    const words = await readWords(BASE, language, demo === "demo");
    const why = words.has(`problem.${code}`) ? words.text(`problem.${code}`) : "";
    return { told: `${words.text("app.failed")} ${why}`, lang: words.lang, dir: words.dir };
  } catch {
    // The words are what failed, so there is none of them to say it with.
    return { told: "This checklist could not start. Use the paper card, and open this page again near the station.", lang: "en", dir: "ltr" };
  }
}

/** What was opened is open before the disk has it. */
function isOpen(desk) {
  return desk.caseId() !== null && !desk.theCase()?.closed;
}

async function fetched(file) {
  return (await fetch(new URL(file, BASE))).arrayBuffer();
}

function hearJournal({ notices, desk }, state, count, reason) {
  notices.journal(state, count, reason);
  desk?.failing(state === "failing");
}

start();
