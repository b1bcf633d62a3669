/**
 * Read what was observed of the baby after birth, in the order in which it happened.
 *
 * Head sizes come in whole millimetres, temperatures in tenths of a degree, glucose in
 * tenths of mmol/L, everything else in whole units. `ms` is when a thing was so, `told_ms`
 * when it was told.
 */

/** Give what was observed of the baby: [{kind, ms, told_ms, at, facts}]. */
export function observed(theCase) {
  return theCase.care.filter((item) => item.kind === "baby_observed").sort((a, b) => a.ms - b.ms);
}

/** Give the answers about one sign as 1 or 0: [{value, ms, told_ms}]; "not sure" is left out. */
export function answersOf(theCase, what, bad, good) {
  return observed(theCase)
    .filter(({ facts }) => facts.what === what && (bad.includes(facts.answer) || good.includes(facts.answer)))
    .map(({ facts, ms, told_ms }) => ({ value: bad.includes(facts.answer) ? 1 : 0, ms, told_ms }));
}

/** Give the numbers told of one thing: [{value, ms, told_ms}]. */
export function numbersOf(theCase, what) {
  return observed(theCase)
    .filter(({ facts }) => facts.what === what && (facts.value ?? null) !== null)
    .map(({ facts, ms, told_ms }) => ({ value: facts.value, ms, told_ms }));
}

/** Give how far each head size lies above the smallest one before it, in mm: [{value, ms, told_ms}]. */
export function headGrowths(theCase) {
  const sizes = numbersOf(theCase, "head");
  return sizes.slice(1).map((size, index) => {
    const least = Math.min(...sizes.slice(0, index + 1).map((one) => one.value));
    return { ...size, value: Math.max(size.value - least, 0) };
  });
}

/**
 * Estimate blood under the scalp in mL from the head's growth; null without two sizes.
 *
 * The larger of two rules: 40 mL for each cm (from memory), and half a sphere,
 * (HC^3 - HC0^3) / (12 pi^2) in cm (geometry). A late and unreliable sign: moulding falls
 * while blood gathers.
 */
export function hiddenBloodMl(theCase) {
  const sizes = numbersOf(theCase, "head").map((size) => size.value);
  if (sizes.length < 2) return null;
  const first = Math.min(...sizes.slice(0, -1));
  const last = sizes.at(-1);
  if (last <= first) return 0;
  // 12 pi^2 is 118.435253; cubes of millimetres are a thousand times those of centimetres.
  // In BigInt, for the cube of a wrongly typed size is beyond what a number keeps exactly.
  const cubes = (BigInt(last) ** 3n - BigInt(first) ** 3n) * 1000n;
  return Math.max((last - first) * 4, Number(cubes / 118_435_253n));
}

/** Give the baby's blood volume in mL at 80 mL/kg (from memory), or null without a weight. */
export function bloodVolumeMl(theCase) {
  const weight = numbersOf(theCase, "weight").at(-1);
  return weight && weight.value > 0 ? Math.floor(weight.value * 80 / 1000) : null;
}

/** Give the blood that may hide as a share of the baby's blood in percent, rounded up; null if not known. */
export function hiddenShare(theCase) {
  const blood = hiddenBloodMl(theCase);
  const volume = bloodVolumeMl(theCase);
  return blood === null || !volume ? null : Math.ceil(blood * 100 / volume);
}
