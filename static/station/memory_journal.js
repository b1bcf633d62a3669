/**
 * A journal that is gone with its page, for a preview: the same shape as the tablet's, and no disk.
 */

import { parse } from "../core/event.js";
import { KIT } from "../journal.js";

/** Open an empty one. */
export function openMemoryJournal() {
  const rows = [];
  const meta = new Map();
  const inCase = (id) => rows.filter((row) => (id === KIT ? row.event.kind === "kit_checked" : row.event.case === id));

  async function append(line, log, seq, also = null) {
    rows.push({ line, log, seq, event: parse(line) });
    if (also) meta.set(also.key, also.value);
  }

  function last(log) {
    return rows.reduce((most, row) => (row.log === log ? Math.max(most, row.seq) : most), 0);
  }

  async function readHeads({ limit, before = Infinity }) {
    const opened = rows.filter(({ event }) => event.kind === "case_opened" && event.at < before).reverse().slice(0, limit);
    return opened.map(({ line, event }) => ({
      case: event.case, at: event.at, line, closed: inCase(event.case).some((row) => row.event.kind === "case_closed"),
    }));
  }

  return {
    notes: [], append, last, readHeads,
    readCase: async (id) => inCase(id).map(({ line }) => line),
    readLog: async (log, after = 0) => rows.filter((row) => row.log === log && row.seq > after).map(({ line }) => line),
    readAll: async () => rows.map(({ line }) => line),
    readTips: async () => [],
    check: async () => [],
    recoveries: () => 0,
    isWhole: () => true,
    epoch: () => 0,
    readMeta: async (key) => meta.get(key),
    writeMeta: async (key, value) => { meta.set(key, value); },
    readCursor: async () => undefined,
    writeCursor: async () => {},
    readInbox: async () => [],
    countInbox: async () => 0,
    appendInbox: async () => {},
  };
}
