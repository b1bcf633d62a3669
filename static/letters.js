/**
 * Tell whether this tablet can draw the letters of a language.
 *
 * A letter that no font has is drawn as a box, the same for all of them. Knows no language.
 */

const SIZE = 40;
const FONT = "24px";
// No font has these: the last code point that is set aside, and one for private use.
const NOBODYS = ["\u{10FFFD}", "\uF8FF", ""];
// Every browser that runs this app has these.
const SURE = /^[\x20-\x7e]*$/;

let shipped = null;

/** Read the style that names the letters which come with the app; each font itself waits until one is drawn. */
export function shipLetters() {
  shipped ??= new Promise((resolve) => {
    const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href: new URL("css/fonts.css", import.meta.url).href });
    for (const end of ["load", "error"]) link.addEventListener(end, resolve);
    document.head.append(link);
  });
  return shipped;
}

/** Tell whether every letter of a sample is drawn; the fonts that come with the app are read first. */
export async function draws(sample = "") {
  if (SURE.test(sample)) return true;
  await shipLetters();
  const family = getComputedStyle(document.documentElement).fontFamily;
  await document.fonts.load(`${FONT} ${family}`, sample).catch(() => []);
  const boxes = NOBODYS.map((letter) => drawn(letter, family));
  return [...sample].every((letter) => letter.trim() === "" || !boxes.includes(drawn(letter, family)));
}

function drawn(letter, family) {
  const canvas = document.createElement("canvas");
  canvas.width = SIZE;
  canvas.height = SIZE;
  const pen = canvas.getContext("2d");
  pen.font = `${FONT} ${family}`;
  pen.textBaseline = "top";
  pen.fillText(letter, 2, 4);
  return canvas.toDataURL();
}
