import { el } from "../ui/dom.js";
import { header } from "../ui/header.js";

export function settingsPage(view) {
  return { node: el("div", { class: "screen settings-page scrolls" }, header(view.words, { title: "settings", onBack: () => view.go("home") }), el("main", {})) };
}
