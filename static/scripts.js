/**
 * The scripts of practice births of this release; they are read once the first screen stands.
 */

import { readScript } from "./core/practice.js";

/** Read the scripts at `paths` under `base`: {get(id), list(), isRead()}; `onRead()` hears when they are there. */
export function openScripts({ base, paths, onRead }) {
  let scripts = new Map();
  let isRead = false;

  async function read() {
    const texts = await Promise.all(paths.map(async (path) => (await fetch(new URL(path, base))).text()));
    const read = texts.map(readScript).sort((a, b) => a.order - b.order);
    scripts = new Map(read.map((script) => [script.id, script]));
    isRead = true;
    onRead();
  }

  return { read, get: (id) => scripts.get(id) ?? null, list: () => [...scripts.values()], isRead: () => isRead };
}
