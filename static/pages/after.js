import { el } from "../ui/dom.js";
import { header } from "../ui/header.js";

export function afterPage(view) {
  return { node: el("div", { class: "screen after-page scrolls" }, header(view.words, { title: "after", onBack: () => view.go("home") }), el("main", {})) };
}
