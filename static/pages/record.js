import { el } from "../ui/dom.js";
import { header } from "../ui/header.js";

export function recordPage(view) {
  return { node: el("div", { class: "screen record-page scrolls" }, header(view.words, { title: "record", onBack: () => view.go("home") }), el("main", {})) };
}
