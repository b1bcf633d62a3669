/**
 * The closed table of what can go wrong that a caller can act on.
 *
 * The same codes as the Python half; words for people live in the language packs.
 */

export const ERRORS = Object.freeze([
  "event_malformed",
  "date_malformed",
  "protocol_malformed",
  "protocol_unknown",
  "log_torn",
  "words_missing",
  "journal_refused",
  "journal_busy",
  "journal_damaged",
  "disk_full",
  "batch_malformed",
  "batch_too_big",
  "encoding_unknown",
  "chain_mismatch",
  "head_mismatch",
  "signature_wrong",
  "unknown_prev",
  "log_foreign",
  "page_foreign",
  "device_unknown",
  "device_waiting",
  "waiting_full",
  "device_retired",
  "device_malformed",
  "station_unreachable",
  "port_in_use",
  "data_unwritable",
  "certificate_needed",
  "certificate_unreadable",
  "loopback_only",
  "form_expired",
  "not_found",
  "method_wrong",
  "case_unknown",
  "filter_wrong",
  "role_wrong",
  "account_malformed",
  "account_taken",
  "account_last",
  "link_unknown",
  "limits_refused",
  "second_needed",
  "code_refused",
  "tries_full",
  "hub_missing",
  "hub_wrong",
  "stick_malformed",
  "stick_damaged",
  "stick_foreign",
  "stick_newer",
  "stick_gap",
  "stick_sender",
  "sealing_missing",
  "authority_kept",
  "retention_unheld",
  "door_plain",
  "language_unknown",
  "language_taken",
  "language_malformed",
  "catalog_malformed",
  "review_damaged",
  "review_refused",
  "words_changed",
  "words_unready",
  "clip_malformed",
  "pack_malformed",
  "pack_torn",
  "pack_foreign",
  "unexpected",
]);

/** Something the caller can act on: a code for programs, facts for people. */
export class ChecklistError extends Error {
  constructor(code, facts = {}) {
    if (!ERRORS.includes(code)) throw new RangeError(`${code} is not in the table of errors`);
    super(code);
    this.name = "ChecklistError";
    this.code = code;
    this.facts = facts;
  }
}
