/**
 * What stands in for the parts of a tablet that touch its browser: settings, lock, link, voice, wake lock.
 */

const SETTINGS = { theme: "day", hand: "right", mm: "", beds: 8, bed_names: "numbers", foot: "off" };
const nothing = () => {};
const none = async () => {};

/** Give parts that keep nothing and reach nobody. */
export function standIns(language) {
  const now = { ...SETTINGS, language };
  return {
    settings: { get: (name) => now[name], set: (name, value) => { now[name] = value; }, language: () => now.language },
    lock: {
      look: nothing, touch: nothing, close: nothing, isShut: () => false, isSet: () => false, isUnknown: () => false, waitMs: () => 0,
    },
    link: {
      refresh: nothing, send: nothing, listen: none, post: () => null, heard: () => [], isHere: () => false,
      state: () => ({ waiting: 0, since: null, lastContact: null, failure: null, hub: null }),
    },
    voice: {
      wake: nothing, play: () => ({ ms: 0, end: nothing }), back: nothing, hush: nothing, load: none, has: () => false,
    },
    wake: { start: nothing, stop: nothing },
    shell: { caseOpened: none, caseClosed: none, update: nothing },
  };
}
