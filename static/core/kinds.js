/**
 * What each kind of event may say, read from the one table of kinds.
 *
 * The table itself is `static/core/kinds.json`. Whoever starts the program hands
 * it in once, since the core reads no files.
 */

export const NAME = /^[a-z][a-z0-9_]{0,39}$/;
export const ID = /^[0-9a-f]{8,64}$/;

let table = {};

/** Take the table of kinds into use: {kind: {group, facts, prefix?}}. */
export function useKinds(rows) {
  table = rows;
}

/** Give the row of a kind, or null when this version does not know it. */
export function kindOf(name) {
  return Object.hasOwn(table, name) ? table[name] : null;
}

/** List the kinds that this version knows. */
export function knownKinds() {
  return Object.keys(table);
}

/** Tell whether a value is of the type and in the range that its row asks. */
export function fits(spec, value) {
  const kind = spec.type;
  if (kind === "int") return isWhole(value) && spec.min <= value && value <= spec.max;
  if (kind === "flag") return typeof value === "boolean";
  if (typeof value !== "string") return false;
  if (kind === "choice") return spec.choices.includes(value);
  if (kind === "id") return ID.test(value);
  // Counted in code points, as Python counts.
  const length = [...value].length;
  return length > 0 && length <= spec.max;
}

/** Tell whether a value is a whole number that both languages keep exactly. */
export function isWhole(value) {
  return Number.isSafeInteger(value) && !Object.is(value, -0);
}

/**
 * Name what is wrong with the facts of a kind; an unknown kind has none.
 *
 * A fact that the row does not know is kept and is no problem: it may come
 * from a newer version.
 */
export function factProblems(kind, facts) {
  const row = kindOf(kind);
  if (row === null) return [];
  const found = [];
  for (const [name, spec] of Object.entries(row.facts)) {
    if (!Object.hasOwn(facts, name)) {
      if (spec.required) found.push(`${name}:missing`);
    } else if (!fits(spec, facts[name])) {
      found.push(`${name}:refused`);
    }
  }
  return found;
}
