/**
 * How this tablet is set: theme, hand, language, size of letters and of a millimetre, beds, foot switch.
 *
 * Kept in localStorage: if it is lost, the tablet only looks as it did when new.
 */

export const MOST_BEDS = 20;
const DEFAULTS = { theme: "day", hand: "right", language: "en", letters: "usual", mm: "", beds: 8, bed_names: "numbers", foot: "off" };
const CHOICES = { theme: ["day", "night"], hand: ["right", "left"], letters: ["usual", "larger", "largest"], bed_names: ["numbers", "letters"], foot: ["off", "on"] };
// WCAG 2.2, 1.4.4: letters twice as large, and nothing is lost.
const TIMES = { usual: 1, larger: 1.5, largest: 2 };
const USUAL_PX = 16;
const LETTERS = "ABCDEFGHIJKLMNOPQRST";

/** How many times larger the letters are drawn: as was set here, or as the browser was told for every page. */
function timesLarger({ letters }) {
  const probe = document.createElement("span");
  probe.style.font = "medium serif";
  document.documentElement.append(probe);
  const told = parseFloat(getComputedStyle(probe).fontSize) / USUAL_PX;
  probe.remove();
  return Math.min(TIMES.largest, Math.max(TIMES[letters], told));
}

/** Open the settings and show them on the root element: {get, set, language}. */
export function openSettings(root) {
  const now = { ...DEFAULTS, ...read() };

  function show() {
    root.dataset.theme = now.theme;
    root.dataset.hand = now.hand;
    const times = timesLarger(now);
    root.style.setProperty("--letters", String(times));
    // Letters that are any larger need a screen that grows with them: large.css.
    if (times > 1) root.dataset.letters = "large";
    else delete root.dataset.letters;
    if (Number(now.mm) > 0) root.style.setProperty("--mm", `${now.mm}px`);
    else root.style.removeProperty("--mm");
  }

  function set(name, value) {
    if (CHOICES[name] && !CHOICES[name].includes(value)) return;
    now[name] = value;
    try {
      localStorage.setItem("settings", JSON.stringify(now));
    } catch {
      // No room for it: it holds until the page is closed.
    }
    show();
  }

  show();
  return { get: (name) => now[name], set, language: () => now.language };
}

/** Give the names of the beds, as many as were set: "1", "2", … or "A", "B", …. */
export function bedNames(settings) {
  const count = Math.min(MOST_BEDS, Math.max(1, Math.round(Number(settings.get("beds"))) || DEFAULTS.beds));
  const isLetters = settings.get("bed_names") === "letters";
  return Array.from({ length: count }, (_, index) => (isLetters ? LETTERS[index] : String(index + 1)));
}

function read() {
  try {
    const kept = JSON.parse(localStorage.getItem("settings")) ?? {};
    // What an older or a newer release knew, and this one does not, stands as it was when new.
    return Object.fromEntries(Object.entries(kept).filter(([name, value]) => !CHOICES[name] || CHOICES[name].includes(value)));
  } catch {
    return {};
  }
}
