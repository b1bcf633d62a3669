/**
 * Undo: for a short while after a tap its key says what it takes back; then its place stays empty.
 */

import { eventText } from "./event_words.js";
import { key } from "./key.js";

/** Make the undo key, or an empty key that keeps its place. */
export function undoKey(view) {
  const { words, undoable, desk, stamp } = view;
  const button = key({
    name: "undo", tag: "undo", sign: "undo", label: words.text("app.undo"), stamp,
    note: undoable ? eventText(words, undoable.events[0], view.theCase) : null,
    onTap: () => desk.undo(),
  });
  button.classList.toggle("away", !undoable);
  button.disabled = !undoable;
  return button;
}
