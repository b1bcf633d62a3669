/**
 * Decide which page is on the screen and draw it anew when something has changed.
 *
 * A page is a function from the view to {node, tick?, placed?}: `node` is what to show,
 * `tick(view)` keeps running numbers running between changes, and `placed()` is called
 * once the node is on the screen.
 */

import { standingStops } from "./core/alarm.js";
import { place } from "./core/place.js";
import { caseOf, isOfACase } from "./about.js";
import { lookOften } from "./clock.js";
import { holdHand, showFirst, signed, toldNow } from "./drawn.js";
import { openingFacts } from "./opening.js";
import { beforePage } from "./pages/before.js";
import { cupPage } from "./pages/cup.js";
import { homePage } from "./pages/home.js";
import { logPage } from "./pages/log.js";
import { pullPage } from "./pages/pull.js";
import { stopPage } from "./pages/stop.js";
import { verdictPage } from "./pages/verdict.js";
import { isPlayed, practiceLine, runPractice } from "./ui/practice_line.js";
import { watchLandings } from "./settled.js";
import { settle } from "./ui/fit.js";
import { placeSourceKey } from "./ui/source_key.js";
import { halfAt } from "./ui/half.js";
import { runStrips, strips } from "./ui/strips.js";
import { endUndo } from "./ui/undo.js";

const PAGES = { home: homePage, before: beforePage, verdict: verdictPage, cup: cupPage, pull: pullPage, log: logPage, stop: stopPage };
// Common practice, no source: how old the numbers of a page that only reads may be.
const READ_AGAIN_MS = 2000;
// Common practice, no source: after this long without an entry another woman may be meant.
const FRESH_MS = 30 * 60 * 1000;
const LIVE = ["before", "verdict", "cup", "pull", "log", "stop"];
// What the PIN closes: these pages always, those of one case unless it is the open one.
const CLOSED = ["cases", "settings"];

/** Open the screen: {begin, changed, go, stay}. */
export function openScreen(parts) {
  const { root, languages, speech, voice, rules, settings, clock, desk, journal, attention, dues, link, notices, wake, lock, kit, foot, scripts, isWriter, isDemo } = parts;
  let name = "home";
  let arg = null;
  let shown = null;
  let lastPlace = null;
  let signature = "";
  let pages = PAGES;
  let isPressed = false;
  let isStale = false;
  let line = null;
  const landings = watchLandings(root, [...LIVE, "after"]);

  function view() {
    return {
      ...desk.look(), name, arg, line, isLive: LIVE.includes(name), go, next, desk, journal, link, settings, lock, kit, foot, scripts, isWriter, isDemo, device: parts.device,
      words: speech.of(shownName(), arg, desk.theCase()), speech, languages, takeLanguage: (tag) => speech.take(tag).then(draw), protocol: desk.protocol().table, protocols: rules.known, digest: desk.protocol().digest, limits: rules.limits(), refusedLimits: rules.refused(),
      stamp: clock.stamp, undoable: desk.undoable(), notices: notices.now(), release: parts.release, sound: voice,
      record: desk.record,
      quiet: (finding) => attention.quiet(finding, clock.stamp().tick),
      openCase, resume, dues: () => dues.list(), openCases: () => dues.cases(), closeCase, toCase: () => go(pageOf(place(desk.theCase()))), takeUpdate: () => parts.shell?.update(), redraw: draw,
    };
  }

  /** Show a page; `told` is for that page alone, and `strip` names the one line above it that is gone with the next tap. */
  function go(page, told = null, strip = null) {
    name = page;
    arg = told;
    line = strip;
    draw();
    root.querySelector("h1")?.focus?.();
    // What waits has changed with every tap since it was last counted.
    if (page === "home") link.refresh();
  }

  /** Give the page that may be shown: the keypad of the PIN in place of what it closes. */
  function shownName() {
    return lock.isShut() && isClosed() ? "locked" : name;
  }

  function isClosed() {
    if (!isOfACase(name)) return CLOSED.includes(name);
    const id = caseOf(arg) ?? desk.caseId();
    return id !== desk.caseId() || desk.theCase()?.closed !== null;
  }

  /** Name the page to show once what was just recorded is kept. */
  function next(page, told = null) {
    name = page;
    arg = told;
  }

  async function openCase(mode, stamp, told = {}) {
    voice.wake();
    const real = isDemo ? "practice" : mode;
    const facts = openingFacts({ mode: real, release: parts.release, language: speech.opening(real), post: link.post() }, told);
    const kept = desk.open(facts, stamp);
    lastPlace = "before";
    go("before");
    await parts.shell?.caseOpened();
    wake.start();
    return kept;
  }

  async function resume(id) {
    voice.wake();
    if (desk.caseId() !== id) await desk.load(id);
    attention.reset();
    lastPlace = place(desk.theCase());
    wake.start();
    go(pageOf(lastPlace));
  }

  async function closeCase(why, stamp) {
    // A case that is closed belongs on its record; from here it leads home.
    lastPlace = "closed";
    const [id, isPractice] = [desk.caseId(), isPlayed(desk.theCase(), isDemo)];
    await desk.record("case_closed", { why }, { stamp, tap: false });
    desk.leave();
    attention.reset();
    dues.forget(id);
    wake.stop();
    lastPlace = null;
    if (isPractice) go("debrief", { id });
    else go("home");
    // Another birth that is still watched goes on with the release it began with.
    if (!dues.cases().length) await parts.shell?.caseClosed();
    link.send();
  }

  /** Hear that something changed and draw what follows from it. */
  function changed(why) {
    if (why === "pending") {
      root.dataset.saving = "";
      line = null;
      return;
    }
    if (desk.pending().length === 0) delete root.dataset.saving;
    if (["link", "shell", "dues"].includes(why) && name !== "home") return;
    if (why === "kit" && !["home", "kit"].includes(name)) return;
    const now = desk.look();
    // A stop is written down as shown before anybody can answer it.
    attend(now);
    follow(now);
    draw();
  }

  /** Go where the case has gone, and to the stop when one stands and no pull is open. */
  function follow(now) {
    if (!now?.theCase || !LIVE.includes(name)) return;
    const { theCase, measured, findings } = now;
    const at = place(theCase);
    if (at !== lastPlace) {
      lastPlace = at;
      name = pageOf(at);
      arg = null;
    }
    const stands = standingStops(theCase, findings).some(({ limit }) => limit !== "working_suction");
    if (stands && !measured.pull_open && ["pull", "cup"].includes(name)) name = "stop";
  }

  /** Read the pages that can wait; each comes once from the release. */
  async function readLater() {
    const { LATER } = await import("./pages/later.js");
    pages = { ...PAGES, ...LATER };
  }

  function draw() {
    // A key that is replaced under a finger would swallow the tap.
    if (isPressed) {
      isStale = true;
      return;
    }
    isStale = false;
    const page = shownName();
    if (!Object.hasOwn(pages, page)) {
      readLater().then(draw);
      return;
    }
    const handBack = holdHand(root, page);
    const before = toldNow(root);
    landings.leave();
    const now = view();
    halfAt(page, desk.caseId(), typeof arg === "string" ? arg : null);
    root.dataset.page = page;
    root.dataset.mode = now.theCase?.mode ?? "none";
    speech.follow(now.words, root, () => settle(root, shown));
    shown = pages[page](now);
    signature = signed(now, page);
    if (page === name) placeSourceKey(shown.node, now);
    root.replaceChildren(...[...strips(now), practiceLine(now, shown.node), shown.node].filter(Boolean));
    handBack();
    speech.mark(root);
    settle(root, shown);
    if (!isWriter) for (const button of root.querySelectorAll("[data-writes]")) button.disabled = true;
    if (LIVE.includes(page) && toldNow(root) !== before) showFirst(root);
  }

  /** Wherever the assistant has gone to look, what has become due is said. */
  function attend(now) {
    if (isWriter && now?.theCase) attention.look(now, clock.stamp().tick);
  }

  /** Look at the clock: running numbers run, and what has become due is said. */
  function look() {
    lock.look();
    if (isWriter) dues.look();
    const now = view();
    attend(now);
    if (signed(now, shownName()) !== signature) {
      follow(now);
      draw();
    } else {
      shown.tick?.(now);
      runStrips(root, now);
      runPractice(root, now);
      if (now.undoable === null) endUndo(root);
    }
  }

  function press() {
    isPressed = true;
    lock.touch();
  }

  /** A foot on the switch does what the finger does on PULL, where that key is, and nothing else. */
  function step(stamp) {
    if (shownName() !== "pull" || root.querySelector("[data-key=pull]:not(:disabled)") === null) return;
    desk.record(desk.look().measured.pull_open ? "pull_ended" : "pull_began", { source: "foot" }, { stamp });
  }

  /** A tablet that went to sleep wakes up closed. */
  function hide() {
    if (document.visibilityState !== "hidden") return;
    lock.close();
    // What stays open is not drawn anew: something may be half typed.
    if (shownName() !== root.dataset.page) draw();
  }

  /** The click comes right after the finger lifts, and is heard first. */
  function lift() {
    setTimeout(() => {
      isPressed = false;
      if (isStale) draw();
    });
  }

  /** Take the open case onto the desk; a tablet whose store is shut begins with none, and records all the same. */
  async function readOpenCase() {
    try {
      const [head] = await journal.readHeads({ limit: 1 });
      if (!head || head.closed) return false;
      await desk.load(head.case);
      land();
      return true;
    } catch (error) {
      if (error.code !== "journal_refused") throw error;
      return false;
    }
  }

  /** A tablet that died in the middle of a birth comes back to the place where it was. */
  function land() {
    const theCase = desk.theCase();
    const { measured } = desk.look();
    if (name !== "home" || !isWriter || measured.now_ms - theCase.clock.ms > FRESH_MS) return;
    lastPlace = place(theCase);
    wake.start();
    voice.back();
    go(pageOf(lastPlace), null, "app.back_at");
  }

  async function begin() {
    // A page that no worker serves yet may lose the station at any moment, and reads all of itself first.
    if (!navigator.serviceWorker?.controller) await readLater();
    // A case that is taken onto the desk draws the screen by itself.
    if (!await readOpenCase()) draw();
    if (!isWriter) lookOften(readOpenCase, READ_AGAIN_MS);
    lookOften(look, 250);
    if (pages === PAGES) readLater();
    // What waits for the station is counted behind the first picture, not before it.
    link.refresh();
    dues.refresh();
    kit.begin();
    foot.begin({ onStep: step, isLive: () => shownName() === "pull" });
    document.addEventListener("visibilitychange", hide);
    root.addEventListener("pointerdown", press, true);
    // A tablet that is turned has other room for the same words; a bar of the browser that goes while one scrolls moves nothing.
    addEventListener("resize", () => settle(root, shown));
    matchMedia("(orientation: portrait)").addEventListener("change", () => shownName() === "pull" && showFirst(root));
    for (const name of ["pointerup", "pointercancel"]) addEventListener(name, lift, true);
    // A finger that comes down lets no sound begin yet; one that lifts does, and so does a key.
    for (const name of ["pointerup", "keydown"]) addEventListener(name, voice.wake, true);
  }

  return { begin, changed, go, stay: () => go(name, arg, "app.goes_on") };
}

function pageOf(at) {
  return at === "closed" ? "record" : at;
}
