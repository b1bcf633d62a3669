"""The closed table of what can go wrong that a caller can act on.

Words for people live in the language packs under ``problem.<code>``; here are
only the codes, with the HTTP status and the exit code that go with each.
"""

from typing import NamedTuple


class Answer(NamedTuple):
    """How a code is answered: over HTTP and from the command line."""

    status: int
    exit: int


ERRORS: dict[str, Answer] = {
    "event_malformed": Answer(422, 65),
    "date_malformed": Answer(422, 65),
    "protocol_malformed": Answer(422, 65),
    "protocol_unknown": Answer(422, 65),
    "log_torn": Answer(422, 65),
    "words_missing": Answer(500, 70),
    "journal_refused": Answer(507, 74),
    "journal_busy": Answer(503, 75),
    "journal_damaged": Answer(500, 70),
    "disk_full": Answer(507, 74),
    "batch_malformed": Answer(400, 65),
    "batch_too_big": Answer(413, 65),
    "encoding_unknown": Answer(415, 65),
    "chain_mismatch": Answer(422, 65),
    "head_mismatch": Answer(422, 65),
    "signature_wrong": Answer(422, 65),
    "unknown_prev": Answer(409, 65),
    "log_foreign": Answer(403, 77),
    "page_foreign": Answer(403, 77),
    "device_unknown": Answer(401, 77),
    "device_waiting": Answer(403, 77),
    "waiting_full": Answer(403, 77),
    "device_retired": Answer(403, 77),
    "device_malformed": Answer(400, 65),
    "station_unreachable": Answer(503, 69),
    "port_in_use": Answer(503, 69),
    "data_unwritable": Answer(500, 73),
    "certificate_needed": Answer(400, 64),
    "certificate_unreadable": Answer(400, 66),
    "loopback_only": Answer(403, 77),
    "form_expired": Answer(400, 65),
    "not_found": Answer(404, 66),
    "method_wrong": Answer(405, 64),
    "case_unknown": Answer(404, 66),
    "filter_wrong": Answer(400, 64),
    "role_wrong": Answer(403, 77),
    "account_malformed": Answer(422, 65),
    "account_taken": Answer(409, 65),
    "account_last": Answer(409, 65),
    "link_unknown": Answer(410, 66),
    "limits_refused": Answer(422, 65),
    "second_needed": Answer(403, 77),
    "code_refused": Answer(403, 77),
    "tries_full": Answer(429, 75),
    "hub_missing": Answer(404, 66),
    "hub_wrong": Answer(502, 76),
    "stick_malformed": Answer(400, 65),
    "stick_damaged": Answer(422, 65),
    "stick_foreign": Answer(403, 77),
    "stick_newer": Answer(422, 65),
    "stick_gap": Answer(409, 65),
    "stick_sender": Answer(403, 77),
    "sealing_missing": Answer(404, 66),
    "authority_kept": Answer(409, 73),
    "retention_unheld": Answer(409, 65),
    "door_plain": Answer(403, 77),
    "language_unknown": Answer(404, 66),
    "language_taken": Answer(409, 65),
    "language_malformed": Answer(422, 65),
    "catalog_malformed": Answer(422, 65),
    "review_damaged": Answer(500, 70),
    "review_refused": Answer(409, 65),
    "words_changed": Answer(409, 65),
    "words_unready": Answer(409, 65),
    "clip_malformed": Answer(422, 65),
    "pack_malformed": Answer(422, 65),
    "pack_torn": Answer(422, 65),
    "pack_foreign": Answer(403, 77),
    "unexpected": Answer(500, 70),
}


class ChecklistError(Exception):
    """Something the caller can act on: a code for programs, facts for people."""

    def __init__(self, code: str, **facts: object) -> None:
        if code not in ERRORS:
            raise KeyError(f"{code} is not in the table of errors")
        super().__init__(code)
        self.code = code
        self.facts = facts

    def __str__(self) -> str:
        told = ", ".join(f"{name}={value}" for name, value in self.facts.items())
        return f"{self.code} ({told})" if told else self.code
