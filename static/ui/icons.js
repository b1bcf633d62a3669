/**
 * Own line drawings of one stroke width, on a field of 32 by 32.
 */

import { svg } from "./dom.js";

// Drawings that mean a direction of reading turn with the language.
const TURNS = new Set(["on", "undo", "more", "back"]);

const PATHS = {
  cup: ["M7 12a9 8 0 0 1 18 0z", "M16 12v11M9 23h14", "M12 27l4 3 4-3"],
  yes: ["M5 17l7 7L27 8"],
  no: ["M8 8l16 16M24 8 8 24"],
  unsure: ["M10 12a6 6 0 1 1 8.5 5.4c-2 1-2.5 2-2.5 4.1", "M16 27v.2"],
  caution: ["M16 4 30 28H2z", "M16 12v8", "M16 24v.2"],
  stop: ["M11 3h10l8 8v10l-8 8H11l-8-8V11z", "M10 16h12"],
  on: ["M4 16h23M18 7l9 9-9 9"],
  back: ["M28 16H5M14 7l-9 9 9 9"],
  more: ["M12 6l10 10-10 10"],
  undo: ["M5 12h14a7 7 0 0 1 0 14h-7", "M11 6l-6 6 6 6"],
  hiss: ["M4 15a12 9 0 0 1 24 0z", "M8 19q3 2.5 0 5t0 5M16 19q3 2.5 0 5t0 5M24 19q3 2.5 0 5t0 5"],
  perineum: ["M10 14a6 6 0 1 0 12 0a6 6 0 1 0-12 0", "M2 12h4a10.5 11 0 0 0 20 0h4"],
  heart: ["M16 27C5 19 3.5 13.5 6 9.5c2.5-4 8-3 10 1.5 2-4.5 7.500-5.500 10-1.500 2.500 4 1 9.500-10 17.500z"],
  detached: ["M3 29a13 9 0 0 1 26 0", "M7 15.5a8 7 -24 0 1 15-7z", "M25 15l4-5M21 17.5l1-2"],
  born: ["M7.500 20.500a8.500 8.500 0 1 0 17 0a8.500 8.500 0 1 0-17 0", "M12.5 12.5V2M19.500 12.500V2M2 8h10.500M19.500 8H30"],
  plan: ["M6 4h20v24H6z", "M11 11h10M11 16h10M11 21h6"],
  call: ["M9 4h4l3 7-4 3c1 3 3 5 6 6l3-4 7 3v4c0 3-2 5-5 5C13 28 4 19 4 9c0-3 2-5 5-5z"],
  road: ["M12 4 6 28M20 4l6 24M16 6v4M16 14v5M16 23v5"],
  send: ["M5 19v9h22v-9", "M16 22V4M9 11l7-7 7 7"],
  kit: ["M3 11h26v17H3z", "M11 11V6h10v5", "M11 19l4 4 7-7"],
  baby: ["M10.500 9a5.500 5.500 0 1 0 11 0a5.500 5.500 0 1 0-11 0", "M7 29c0-9 4-12 9-12s9 3 9 12z", "M11 22l10 4"],
  list: ["M5 8h3M12 8h15M5 16h3M12 16h15M5 24h3M12 24h15"],
  gauge: ["M4 24a12 12 0 1 1 24 0z", "M16 24l6-9"],
  clock: ["M4 16a12 12 0 1 0 24 0a12 12 0 1 0-24 0", "M16 9v7l5 4"],
  print: ["M8 12V4h16v8M8 22H4V12h24v10h-4", "M8 18h16v10H8z"],
  drop: ["M16 4c6 8 9 12 9 16a9 9 0 0 1-18 0c0-4 3-8 9-16z"],
  sun: ["M11 16a5 5 0 1 0 10 0a5 5 0 1 0-10 0", "M16 3v4M16 25v4M3 16h4M25 16h4M7 7l3 3M22 22l3 3M25 7l-3 3M10 22l-3 3"],
};

/** Draw one icon by its name. */
export function icon(name) {
  const turns = TURNS.has(name) ? " turns" : "";
  return svg("svg", { class: `i${turns}`, viewBox: "0 0 32 32", "data-sign": name, "aria-hidden": "true" },
    PATHS[name].map((d) => svg("path", { d, "vector-effect": "non-scaling-stroke" })));
}
