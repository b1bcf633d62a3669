/**
 * Make elements with text, never with markup.
 */

import { runsFromRight } from "../language.js";

const SVG = "http://www.w3.org/2000/svg";

/** Make an HTML element; attributes may hold `data` {name: value} and `on` {event: handler}. */
export function el(tag, attributes = {}, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

/** Make an SVG element. */
export function svg(tag, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

/** Say a text of the words with every value isolated: [nodes]; `nodeOf` may draw a value in another way. */
export function say(words, id, values, nodeOf = value) {
  const nodes = words.parts(id, values).map((piece) => (piece.text === undefined ? nodeOf(piece.value) : piece.text));
  return words.isForeign(id, values) ? [notYet(words, ...nodes)] : nodes;
}

/** Wrap nodes that are said in the source language, since the language of the page has no words for them yet. */
export function notYet(words, ...nodes) {
  const { lang, dir } = words.source;
  return el("span", { class: "not-yet", lang, dir }, nodes, " ",
    el("small", { lang: words.lang, dir: words.dir }, words.text("app.not_yet", { language: words.name })));
}

/**
 * Isolate a value, so that it keeps its order in any sentence; its own letters say which way it runs. On a page that runs
 * from the right, one of both kinds of letters runs as the page does, whichever kind it begins with.
 */
export function value(text) {
  const fromRight = document.documentElement.dir === "rtl" ? "rtl" : "auto";
  return el("bdi", { dir: runsFromRight(text) ? fromRight : "ltr" }, text);
}

function filled(element, { data = {}, on = {}, ...attributes }, children) {
  for (const [name, one] of Object.entries(attributes)) {
    if (one === true) element.setAttribute(name, "");
    else if (one !== false && one !== null && one !== undefined) element.setAttribute(name, one);
  }
  for (const [name, one] of Object.entries(data)) {
    if (one !== null && one !== undefined) element.dataset[name] = one;
  }
  for (const [name, handler] of Object.entries(on)) element.addEventListener(name, handler);
  element.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}
