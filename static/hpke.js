/**
 * Seal bytes to a public key, so that only its holder reads them (RFC 9180, base mode).
 *
 * DHKEM(P-256, HKDF-SHA256), HKDF-SHA256, AES-128-GCM on the browser's own crypto. Base
 * mode proves no sender: whatever is sealed must be signed inside.
 */

import { joined } from "./bytes.js";

const CURVE = { name: "ECDH", namedCurve: "P-256" };
const POINT_BYTES = 65;
const KEY_BYTES = 16;
const NONCE_BYTES = 12;
const HASH_BYTES = 32;
const KEM = Uint8Array.of(0x00, 0x10);
const SUITE = joined(ascii("HPKE"), KEM, Uint8Array.of(0x00, 0x01, 0x00, 0x01));
const NOTHING = new Uint8Array();

/**
 * Seal bytes to a public key, its 65-byte point; gives the made key's point and the ciphertext.
 *
 * `made` is the key pair that is used once and thrown away; only a test hands one in.
 */
export async function seal(point, plain, info, aad = NOTHING, made = undefined) {
  const theirs = await importPoint(point);
  const once = made ?? await crypto.subtle.generateKey(CURVE, false, ["deriveBits"]);
  const enc = await exportPoint(once.publicKey);
  const { key, nonce } = await schedule(await agree(once.privateKey, theirs, enc, point), info);
  const rule = { name: "AES-GCM", iv: nonce, additionalData: aad };
  return joined(enc, new Uint8Array(await crypto.subtle.encrypt(rule, key, plain)));
}

/** Open what was sealed to a key pair; rejects with the browser's OperationError when it was altered. */
export async function unseal({ privateKey, publicKey }, sealed, info, aad = NOTHING) {
  const enc = sealed.subarray(0, POINT_BYTES);
  const shared = await agree(privateKey, await importPoint(enc), enc, await exportPoint(publicKey));
  const { key, nonce } = await schedule(shared, info);
  const rule = { name: "AES-GCM", iv: nonce, additionalData: aad };
  return new Uint8Array(await crypto.subtle.decrypt(rule, key, sealed.subarray(POINT_BYTES)));
}

/** The secret that both ends reach, bound to both points. */
async function agree(privateKey, publicKey, enc, recipient) {
  const dh = new Uint8Array(await crypto.subtle.deriveBits({ name: "ECDH", public: publicKey }, privateKey, 256));
  const name = joined(ascii("KEM"), KEM);
  const secret = await extract(name, NOTHING, "eae_prk", dh);
  return expand(name, secret, "shared_secret", joined(enc, recipient), HASH_BYTES);
}

async function schedule(shared, info) {
  const named = await extract(SUITE, NOTHING, "psk_id_hash", NOTHING);
  const told = await extract(SUITE, NOTHING, "info_hash", info);
  const context = joined(Uint8Array.of(0), named, told);
  const secret = await extract(SUITE, shared, "secret", NOTHING);
  const raw = await expand(SUITE, secret, "key", context, KEY_BYTES);
  const key = await crypto.subtle.importKey("raw", raw, "AES-GCM", false, ["encrypt", "decrypt"]);
  return { key, nonce: await expand(SUITE, secret, "base_nonce", context, NONCE_BYTES) };
}

function extract(suite, salt, label, material) {
  const text = joined(ascii("HPKE-v1"), suite, ascii(label), material);
  // HMAC takes no empty key here; zeros of one hash mean the same to it.
  return mac(salt.length === 0 ? new Uint8Array(HASH_BYTES) : salt, text);
}

/** One round of HKDF is enough: nothing longer than a hash is asked for. */
async function expand(suite, secret, label, context, length) {
  const size = Uint8Array.of(length >> 8, length & 255);
  const text = joined(size, ascii("HPKE-v1"), suite, ascii(label), context, Uint8Array.of(1));
  return (await mac(secret, text)).slice(0, length);
}

async function mac(secret, text) {
  const rule = { name: "HMAC", hash: "SHA-256" };
  const key = await crypto.subtle.importKey("raw", secret, rule, false, ["sign"]);
  return new Uint8Array(await crypto.subtle.sign(rule, key, text));
}

function importPoint(point) {
  return crypto.subtle.importKey("raw", point, CURVE, true, []);
}

async function exportPoint(key) {
  return new Uint8Array(await crypto.subtle.exportKey("raw", key));
}

function ascii(text) {
  return new TextEncoder().encode(text);
}
