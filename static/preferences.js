/**
 * How this tablet is set: theme, hand, language, size of a millimetre.
 *
 * Kept in localStorage: if it is lost, the tablet only looks as it did when new.
 */

const DEFAULTS = { theme: "day", hand: "right", language: "en", mm: "" };
const CHOICES = { theme: ["day", "night"], hand: ["right", "left"] };

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

function read() {
  try {
    return JSON.parse(localStorage.getItem("settings")) ?? {};
  } catch {
    return {};
  }
}
