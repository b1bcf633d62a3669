/**
 * The questions of the hours after, as data: what is asked, which answers there are.
 *
 * A step with `answers` is one tap; one with `unit` is a number from the keypad, kept as
 * told times 10 to the `decimals`. Every step may be answered with "not sure". Bounds are
 * what a person can have typed on purpose, and no advice: common practice, no source.
 */

export const BABY = {
  scalp_kind: { answers: ["none", "chignon", "cephalohaematoma", "subgaleal"], drawn: true },
  crosses: { answers: ["no", "yes"] },
  scalp: { answers: ["flat", "soft", "firm", "boggy"] },
  swelling: { answers: ["none", "smaller", "same", "growing"] },
  ear: { answers: ["usual", "pushed"] },
  cup_mark: { answers: ["flexion", "front", "side", "none"] },
  colour: { answers: ["pink", "pale", "blue"] },
  tone: { answers: ["good", "floppy"] },
  feeding: { answers: ["good", "poor", "not_yet"] },
  cry: { answers: ["good", "weak", "high", "asleep"] },
  breathing: { answers: ["quiet", "grunting"] },
  signs: { answers: ["none", "fits", "bleeding", "yellow"] },
  heart: { unit: "bpm", low: 20, high: 300, digits: 3 },
  breaths: { unit: "bpm", low: 0, high: 150, digits: 3 },
  refill: { unit: "s", low: 0, high: 15, digits: 2 },
  temperature: { unit: "c", low: 300, high: 430, digits: 3, decimals: 1 },
  head: { unit: "mm", low: 200, high: 480, digits: 3 },
  glucose: { unit: "mmol", low: 0, high: 300, digits: 3, decimals: 1 },
  weight: { unit: "g", low: 400, high: 7000, digits: 4 },
  breathing_help: { answers: ["none", "bag", "bag_and_heart"] },
  worry: { answers: ["no", "yes"] },
};

export const MOTHER = {
  bleeding: { answers: ["usual", "heavy"] },
  tone: { answers: ["firm", "soft"] },
  pulse: { unit: "bpm", low: 20, high: 250, digits: 3 },
  systolic: { unit: "mmhg", low: 30, high: 260, digits: 3 },
  diastolic: { unit: "mmhg", low: 10, high: 180, digits: 3 },
  temperature: { unit: "c", low: 300, high: 430, digits: 3, decimals: 1 },
  rectal_exam: { answers: ["done", "not_done"] },
  swabs_before: { unit: "count", low: 0, high: 99, digits: 2 },
  needles_before: { unit: "count", low: 0, high: 99, digits: 2 },
  swabs_after: { unit: "count", low: 0, high: 99, digits: 2 },
  needles_after: { unit: "count", low: 0, high: 99, digits: 2 },
  pain_relief: { answers: ["paracetamol", "anti_inflammatory", "both", "other", "none"] },
  explained: { answers: ["why", "baby", "signs", "not_yet"] },
};

export const STEPS = { baby: BABY, mother: MOTHER };

/** What one round looks at, in order; the sugar only where bleeding is suspected. */
export const ROUNDS = {
  baby: ["scalp", "swelling", "ear", "colour", "tone", "feeding", "cry", "breathing", "signs", "heart", "breaths", "refill", "temperature", "head"],
  mother: ["bleeding", "tone", "pulse", "systolic", "diastolic", "temperature"],
};
export const FLAGGED_TOO = ["glucose"];

/** Things that have no time in the protocol: each is done in these steps. */
export const ALSO = {
  breathing_help: { lane: "baby", steps: ["breathing_help"] },
  weight: { lane: "baby", steps: ["weight"] },
  scalp_kind: { lane: "baby", steps: ["scalp_kind", "crosses", "scalp", "swelling", "ear", "cup_mark"] },
  worry: { lane: "baby", steps: ["worry"] },
  swabs: { lane: "mother", steps: ["swabs_before", "needles_before", "swabs_after", "needles_after"] },
  pain_relief: { lane: "mother", steps: ["pain_relief"] },
  explained: { lane: "mother", steps: ["explained"] },
};

/** Things asked from another place than the lanes, and where their answer leads back to. */
export const APART = {
  glucose: { lane: "baby", steps: ["glucose"], back: "transfer" },
};

// One look at the whole baby answers for several signs.
const TOGETHER = ["fits", "bleeding", "yellow"];

/** Give what one answer tells: the facts of one or more observations. */
export function tellings(what, answer) {
  if (what === "signs") return answer === "unsure" ? TOGETHER.map((sign) => ({ what: sign, answer })) : signs(answer);
  // Whoever sees this swelling has felt it.
  if (what === "scalp_kind" && answer === "subgaleal") return [{ what, answer }, { what: "scalp", answer: "boggy" }];
  return [{ what, answer }];
}

function signs(answer) {
  return answer === "none" ? TOGETHER.map((sign) => ({ what: sign, answer: "no" })) : [{ what: answer, answer: "yes" }];
}

/** Name what an entry must be about to answer a step. */
export function asks(what) {
  return what === "signs" ? TOGETHER : [what];
}
