/**
 * How this tablet is set: theme, hand, language, size of a millimetre, beds, foot switch.
 *
 * Kept in localStorage: if it is lost, the tablet only looks as it did when new.
 */

export const MOST_BEDS = 20;
const DEFAULTS = { theme: "day", hand: "right", language: "en", mm: "", beds: 8, bed_names: "numbers", foot: "off" };
const CHOICES = { theme: ["day", "night"], hand: ["right", "left"], bed_names: ["numbers", "letters"], foot: ["off", "on"] };
const LETTERS = "ABCDEFGHIJKLMNOPQRST";

/** Open the settings and show them on the root element: {get, set, language}. */
export function openSettings(root) {
  const now = { ...DEFAULTS, ...read() };

  function show() {
    root.dataset.theme = now.theme;
    root.dataset.hand = now.hand;
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
    return JSON.parse(localStorage.getItem("settings")) ?? {};
  } catch {
    return {};
  }
}
