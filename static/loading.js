/**
 * Read the tables of this release: kinds, protocols, and the words of one language.
 */

import { hex, sha256 } from "./bytes.js";
import { readProtocol } from "./core/protocol.js";
import { makeWords } from "./language.js";

const SOURCE = "en";

/**
 * Read everything from the release at `base`.
 *
 * Gives {kinds, protocol {digest, table}, protocols (digest -> table), words, languages, practice
 * (where the scripts of practice births lie)}.
 */
export async function readTables(base, language) {
  const [contents, kinds] = await Promise.all([json("contents.json", base), json("core/kinds.json", base)]);
  const tag = contents.packs.some((pack) => pack.tag === language) ? language : SOURCE;
  const [protocols, words] = await Promise.all([
    Promise.all(contents.protocols.map((path) => protocol(path, base))),
    readWords(base, tag),
  ]);
  return {
    kinds,
    protocol: newest(protocols),
    protocols: new Map(protocols.map((one) => [one.digest, one.table])),
    words,
    languages: contents.packs,
    practice: contents.practice,
  };
}

/** Read the words of a language of the release, with the source language behind them. */
export async function readWords(base, tag) {
  const [source, pack] = await Promise.all([
    json(`packs/${SOURCE}.json`, base),
    tag === SOURCE ? null : json(`packs/${tag}.json`, base),
  ]);
  return makeWords(pack ?? source, source);
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
