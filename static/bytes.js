/** Spell bytes as text, the ways the exchange writes them. */

/** Spell bytes as lower-case hexadecimal digits. */
export function hex(bytes) {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Read hexadecimal digits back into bytes. */
export function fromHex(text) {
  return Uint8Array.from(text.match(/../g) ?? [], (pair) => parseInt(pair, 16));
}

/** Spell bytes as base64url without padding. */
export function base64url(bytes) {
  return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

/** Read base64url back into bytes. */
export function fromBase64url(text) {
  const letters = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  return Uint8Array.from(letters, (letter) => letter.charCodeAt(0));
}

/** Give random hexadecimal digits, two for each byte. */
export function randomHex(bytes) {
  return hex(crypto.getRandomValues(new Uint8Array(bytes)));
}

/** Give the SHA-256 of bytes, as bytes. */
export async function sha256(bytes) {
  return new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
}
