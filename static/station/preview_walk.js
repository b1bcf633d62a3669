/**
 * Walk an invented birth past the tablet's screens until one of them draws a certain text.
 */

const MINUTE_S = 60;
const CUP = { cup: "soft", mm: 60, placement: "flexing_median" };
const ALONE = [["home"], ["settings"], ["kit"], ["kit", "before_use"], ["card"], ["cases"], ["practice"]];
// A tap on these leads away from the page that is looked through.
const AWAY = ["handover", "back", "home", "source"];
const first = ["suction_set", { stage: "first", unit: "kpa", reading: 20000, pa: 20000 }, 20];
const working = (reading) => ["suction_set", { stage: "working", unit: "kpa", reading, pa: reading }, 20];
const sweep = (clear) => ["rim_swept", { clear }, 20];
const pull = (descent) => [["pull_began", {}, 60], ["pull_ended", {}, 30], ["descent_judged", { descent }, 5]];
// What is tapped, and how many seconds pass before it: hardly anything in this birth goes well.
const BIRTH = [
  ["cup_applied", CUP, 30], sweep("yes"), first, sweep("yes"), working(80000), sweep("yes"),
  ...pull("no"), ["hiss_heard", {}, 20], ["fetal_heart_counted", { heard: "yes", bpm: 90 }, 20],
  ["pull_began", {}, 60], ["cup_detached", { cause: "leak" }, 20], ["scalp_checked", { finding: "swelling" }, 20],
  ["cup_applied", CUP, 20], working(50000), sweep("no"), working(80000), sweep("yes"),
  ...pull("yes"), ["perineum_reached", {}, 20], ["pull_began", {}, 4 * MINUTE_S], ["pull_ended", {}, 30],
  ["descent_judged", { descent: "yes" }, 5], ["fetal_heart_counted", { heard: "no" }, 12 * MINUTE_S],
];
const BORN = [
  ["head_born", {}, 20], ["baby_born", { sex: "girl" }, 20], ["placenta_delivered", { complete: "yes" }, 10 * MINUTE_S],
  ["blood_loss_measured", { ml: 900 }, 60],
];
const STOPPED = [["vacuum_stopped", { why: "pulls", next: "transfer" }, 20], ["transfer_left", {}, 10 * MINUTE_S]];

/**
 * Look for the screen that draws a text; gives whether there was one, and stays on it.
 *
 * screen: {go}; desk; `open(answers)` begins an invented birth; `pass(seconds)` moves its clock;
 * `isDrawn()` tells whether the text was asked for since it was last asked.
 */
export async function walkTo({ screen, desk, protocol, script, open, pass, isDrawn }) {
  isDrawn();
  const shows = (page, arg = null) => {
    screen.go(page, arg);
    return isDrawn();
  };
  /** Tap every key of a page in turn, each time from the page as it was. */
  async function tapped(page) {
    screen.go(page);
    const names = [...document.querySelectorAll("[data-key]")].map((one) => one.dataset.key).filter((name) => !AWAY.includes(name));
    for (const name of new Set(names)) {
      screen.go(page);
      document.querySelector(`[data-key="${CSS.escape(name)}"]`)?.click();
      // What a tap records is drawn once it is kept.
      await new Promise((resolve) => setTimeout(resolve));
      if (isDrawn()) return true;
    }
    return false;
  }
  if (ALONE.some((told) => shows(...told))) return true;
  for (const ends of [BORN, STOPPED]) {
    await open();
    for (const { id, form } of protocol.questions) {
      if (shows("before", id)) return true;
      const answer = form === "plan" ? null : script.answers[id];
      if (answer) await desk.record("check_answered", { item: id, ...answer }, { tap: false });
    }
    if (shows("verdict") || await answered(protocol, desk, shows)) return true;
    await desk.record("decision_made", { decision: "proceed", verdict: "ask", override: true }, { tap: false });
    for (const [kind, facts, seconds] of [...BIRTH, ...ends]) {
      pass(seconds);
      await desk.record(kind, facts, { tap: false });
      if (isDrawn()) return true;
      if (["cup", "pull", "log", "stop"].some((page) => !desk.theCase().baby_born && shows(page))) return true;
      if (kind === "pull_ended" && (shows("pull", "heart") || shows("cup", "moved"))) return true;
    }
    if (shows("after") || shows("record", desk.caseId()) || shows("handover")) return true;
    if (desk.theCase().baby_born && await tapped("after")) return true;
    await desk.record("case_closed", { why: "complete" }, { tap: false });
    if (shows("debrief", { id: desk.caseId() })) return true;
    desk.leave();
  }
  return false;
}

/** Give every answer to every question once, since some say why only then; gives whether a text was met. */
async function answered(protocol, desk, shows) {
  for (const { id, answers } of protocol.questions) {
    for (const answer of answers ?? []) {
      await desk.record("check_answered", { item: id, answer: answer.id }, { tap: false });
      if (shows("verdict")) return true;
    }
  }
  return false;
}
