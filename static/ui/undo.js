/**
 * Undo: for a short while after a tap its key says what it takes back; then its place stays empty.
 */

import { eventDetail, eventText } from "./event_words.js";
import { key } from "./key.js";

/** Make the undo key, or an empty key that keeps its place. */
export function undoKey(view) {
  const { words, undoable, desk, stamp } = view;
  const button = key({
    name: "undo", tag: "undo", sign: "undo", label: words.text("app.undo"), stamp,
    note: undoable ? whatOf(view, undoable.events[0]) : null,
    onTap: () => desk.undo(),
  });
  if (!undoable) putAway(button);
  return button;
}

/** The time to undo is over: the key goes, and what is half typed beside it stays. */
export function endUndo(root) {
  const button = root.querySelector(".undo");
  if (button) putAway(button);
}

function putAway(button) {
  button.classList.add("away");
  button.disabled = true;
}

/** Without its answer an entry could say the opposite of what was tapped. */
function whatOf({ words, theCase }, event) {
  return [eventText(words, event, theCase), eventDetail(words, event)].filter(Boolean).join(": ");
}
