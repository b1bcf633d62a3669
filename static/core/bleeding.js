/**
 * Tell how much blood a mother lost after the birth, and whether that asks for action.
 *
 * Pulse in beats/min, pressures in mmHg, blood in mL; the bounds are numbers of the protocol.
 */

const SIGNS = ["pulse", "systolic", "diastolic"];

/** Add up the blood that was told, in mL; null when nobody told any. */
export function lostMl(theCase) {
  const told = theCase.care.filter(tellsBlood).map((one) => one.facts.ml);
  return told.length ? told.reduce((sum, ml) => sum + ml, 0) : null;
}

/**
 * Judge the blood lost: "act", "signs", "look" or "none".
 *
 * From the higher bound on "act"; from the lower one on "signs" when pulse or pressure is
 * abnormal, and "look" while one of them is not known: not known is never in order.
 */
export function bleeding(theCase, protocol) {
  const { numbers } = protocol;
  const lost = lostMl(theCase) ?? 0;
  if (lost >= numbers.blood_act_ml.value) return "act";
  if (lost < numbers.blood_signs_ml.value) return "none";
  const last = Object.fromEntries(SIGNS.map((what) => [what, lastOf(theCase, what)]));
  if ((last.pulse !== null && last.pulse > numbers.pulse_high_bpm.value)
    || isBelow(last.systolic, numbers.systolic_low_mmhg)
    || isBelow(last.diastolic, numbers.diastolic_low_mmhg)) return "signs";
  return Object.values(last).includes(null) ? "look" : "none";
}

function tellsBlood({ kind, facts }) {
  return kind === "blood_loss_measured" && Number.isInteger(facts.ml);
}

/** Give the number told last, by its time; "not measured" leaves the one before standing. */
function lastOf(theCase, what) {
  const told = theCase.care.filter((one) => one.kind === "mother_observed" && one.facts.what === what && (one.facts.value ?? null) !== null);
  return told.length ? told.reduce((best, one) => (one.ms >= best.ms ? one : best)).facts.value : null;
}

function isBelow(value, row) {
  return value !== null && value < row.value;
}
