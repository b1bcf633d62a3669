/**
 * Read the tables of this release: kinds, protocols, and the words of its languages.
 */

import { hex, sha256 } from "./bytes.js";
import { readProtocol } from "./core/protocol.js";
import { readLanguages } from "./languages.js";

/**
 * Read everything from the release at `base`; a preview hands in other languages by `told` {contents, read}.
 *
 * Gives {kinds, protocol {digest, table}, protocols (digest -> table), languages, practice
 * (where the scripts of practice births lie)}.
 */
export async function readTables(base, language, told = {}) {
  const [contents, kinds] = await Promise.all([told.contents ?? json("contents.json", base), json("core/kinds.json", base)]);
  const [protocols, languages] = await Promise.all([
    Promise.all(contents.protocols.map((path) => protocol(path, base))),
    languagesOf(contents, base, language, told.read),
  ]);
  return {
    kinds,
    protocol: newest(protocols),
    protocols: new Map(protocols.map((one) => [one.digest, one.table])),
    languages,
    practice: contents.practice,
  };
}

/** Read the words in which a failure is told. */
export async function readWords(base, language, isPractice) {
  const languages = await languagesOf(await json("contents.json", base), base, language);
  return languages.words("home", isPractice);
}

function languagesOf(contents, base, language, read = (path) => json(path, base)) {
  return readLanguages({ contents, read, language });
}

async function protocol(path, base) {
  const bytes = await (await fetch(new URL(path, base))).arrayBuffer();
  const text = new TextDecoder().decode(bytes);
  return { digest: hex(await sha256(new Uint8Array(bytes))).slice(0, 16), table: readProtocol(text) };
}

function newest(protocols) {
  const name = ({ table }) => `${table.released} ${table.id}`;
  return protocols.reduce((best, one) => (name(one) > name(best) ? one : best));
}

async function json(path, base) {
  const response = await fetch(new URL(path, base));
  return response.json();
}
