/**
 * See that there is room to write when it matters.
 *
 * A ballast of bytes that cannot be compressed is laid down in calm and given
 * back the moment a write fails for want of space.
 */

const BALLAST = "ballast";
const PIECE = 65536;
const PIECES = 64;

/** Lay down the ballast (4 MiB) unless it lies there; gives whether it does. */
export async function layBallast() {
  try {
    const root = await navigator.storage.getDirectory();
    const handle = await root.getFileHandle(BALLAST, { create: true });
    if ((await handle.getFile()).size >= PIECE * PIECES) return true;
    const file = await handle.createWritable();
    for (let piece = 0; piece < PIECES; piece += 1) {
      await file.write(crypto.getRandomValues(new Uint8Array(PIECE)));
    }
    await file.close();
    return true;
  } catch {
    // An older browser has no such files, a full disk no room: the journal works without.
    return false;
  }
}

/** Give the ballast's room back. */
export async function dropBallast() {
  try {
    await (await navigator.storage.getDirectory()).removeEntry(BALLAST);
  } catch {
    // It was not there: then there is nothing to give back.
  }
}

/**
 * Ask that the store be kept, and tell the free room: {persisted, free} in bytes.
 *
 * Takes a callback since some browsers ask the user and the answer may never come.
 */
export function askRoom(onRoom) {
  const tell = async (persisted) => {
    const { quota = 0, usage = 0 } = await navigator.storage.estimate();
    onRoom({ persisted, free: quota - usage });
  };
  navigator.storage.persisted().then(tell);
  navigator.storage.persist().then(tell, () => tell(false));
}
