import { el } from "../ui/dom.js";
import { header } from "../ui/header.js";

export function casesPage(view) {
  return { node: el("div", { class: "screen cases-page scrolls" }, header(view.words, { title: "cases", onBack: () => view.go("home") }), el("main", {})) };
}
