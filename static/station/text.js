/**
 * The page on which a text is written: a bar for its length, and a question after a paste.
 *
 * Without it the page works all the same: the bar stands still, and how a text came to be is
 * asked each time. Holds no words; they stand in the page.
 */

// Common practice, no source: who pastes a whole text so soon has not typed it here.
const SOON_MS = 60000;
const WHOLE = 0.5;

const form = document.querySelector("[data-part=write]");
if (form) begin(form);

function begin(form) {
  const how = form.querySelectorAll("[name=how]");
  const question = form.querySelector("[data-part=pasted]");
  const opened = performance.now();
  const typedByHand = [...how].find((one) => one.value === "person");
  if (![...how].some((one) => one.checked)) typedByHand.checked = true;
  for (const box of form.querySelectorAll("textarea")) {
    const field = box.closest(".field");
    const count = () => showLength(field, box.value);
    box.addEventListener("input", count);
    count();
    box.addEventListener("paste", (event) => {
      const pasted = event.clipboardData?.getData("text") ?? "";
      if (performance.now() - opened > SOON_MS || length(pasted) < Number(form.dataset.source) * WHOLE) return;
      // Whoever pasted says how it was made; nothing is chosen for them.
      for (const one of how) one.checked = false;
      question.hidden = false;
    });
  }
}

function showLength(field, text) {
  const meter = field.querySelector("meter");
  if (!meter) return;
  const long = length(text.trim());
  meter.value = long;
  field.querySelector("[data-part=count]").textContent = long;
  field.querySelector(".long").dataset.state = long > meter.max ? "past" : "fits";
}

/** Count the signs as they stand side by side: a mark above or below its letter takes no room. */
function length(text) {
  return [...text.normalize("NFC")].filter((sign) => !/\p{Mn}/u.test(sign)).length;
}
