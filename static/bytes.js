/** Spell bytes as text, the ways the exchange writes them, and name keys by them. */

const NAME_DIGITS = 32;

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

/** Put several runs of bytes together. */
export function joined(...parts) {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** Give the name of a device or station: 32 digits of the SHA-256 of its raw public key. */
export async function nameOfKey(raw) {
  return hex(await sha256(raw)).slice(0, NAME_DIGITS);
}
