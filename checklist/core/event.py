"""The envelope of one event: seal it into its line, read it back, check it.

One event is one line of UTF-8 JSON, flat, at most 4,096 bytes, made of whole
numbers, short strings and true or false. The line as written is what is stored,
sent on and hashed, so nothing is ever written a second time.
"""

import json
import re

from checklist.core.kinds import ID, LARGEST, NAME, fact_problems, is_whole
from checklist.errors import ChecklistError

KEYS = ("log", "seq", "case", "kind", "at", "boot", "tick", "ago", "protocol", "facts")
LARGEST_LINE = 4096
LONGEST_FACT = 2000
MOST_FACTS = 40


def seal(event: dict) -> str:
    """Turn an event into its line; raises event_malformed when it is none."""
    _check(event)
    line = json.dumps(
        {key: event[key] for key in KEYS}, ensure_ascii=False, separators=(",", ":")
    )
    if len(line.encode()) > LARGEST_LINE:
        raise ChecklistError("event_malformed", why="line too long")
    return line


def parse(line: str) -> dict:
    """Turn a line back into its event; raises event_malformed when it is none."""
    if len(line) > LARGEST_LINE or (
        not line.isascii() and len(line.encode(errors="replace")) > LARGEST_LINE
    ):
        raise ChecklistError("event_malformed", why="line too long")
    try:
        event = (_CAREFUL if "-0" in line else _QUICK).decode(line)
    except (ValueError, RecursionError):
        raise ChecklistError("event_malformed", why="not JSON") from None
    _check(event)
    # What a newer version adds beside these stays in the line, which is never rewritten.
    return event if tuple(event) == KEYS else {key: event[key] for key in KEYS}


def problems(event: dict) -> list[str]:
    """Name what is wrong with the facts of an event: ["mm:refused", …]."""
    return fact_problems(event["kind"], event["facts"])


def _refuse(text: str) -> None:
    raise ValueError(text)


def _whole(text: str) -> int:
    # JavaScript reads -0 as another number than 0; neither half takes it.
    if text == "-0":
        _refuse(text)
    return int(text)


# Made once: a reader is costlier to make than a line is to read. Only a line that holds "-0"
# somewhere needs every number looked at.
_QUICK = json.JSONDecoder(parse_float=_refuse, parse_constant=_refuse)
_CAREFUL = json.JSONDecoder(parse_int=_whole, parse_float=_refuse, parse_constant=_refuse)


def _check(event: object) -> None:
    if not isinstance(event, dict):
        raise ChecklistError("event_malformed", why="not an object")
    if _is_plain(event):
        return
    for key, accepts in _ENVELOPE.items():
        if key not in event or not accepts(event[key]):
            raise ChecklistError("event_malformed", why=key)


def _is_plain(event: dict) -> bool:
    """Tell quickly that an event is sound; what is not is looked at key by key, which names it.

    Says yes to nothing that the envelope below refuses: a hub reads thousands in a second.
    """
    try:
        log, seq, case, kind, at, boot, tick, ago, protocol, facts = map(event.__getitem__, KEYS)
    except KeyError:
        return False
    return (
        type(log) is type(case) is type(kind) is type(boot) is type(protocol) is str
        and type(seq) is type(at) is type(tick) is type(ago) is int
        and type(facts) is dict
        and 1 <= seq <= LARGEST and 0 <= at <= LARGEST and 0 <= tick <= LARGEST and 0 <= ago <= 604800
        and _IDS.fullmatch(f"{log} {case} {boot} {protocol}") is not None
        and NAME.fullmatch(kind) is not None
        and len(facts) <= MOST_FACTS
        and all(map(NAME.fullmatch, facts))
        and all(map(_is_plain_fact, facts.values()))
    )


def _is_plain_fact(fact: object) -> bool:
    kind = type(fact)
    if kind is str:
        return len(fact) <= LONGEST_FACT and (fact.isascii() or _LONE.search(fact) is None)
    return kind is bool or (kind is int and -LARGEST <= fact <= LARGEST)


_IDS = re.compile(r"[0-9a-f]{32} (?:[0-9a-f]{16})? (?:[0-9a-f]{8})? (?:[0-9a-f]{16})?")
_LONE = re.compile("[\ud800-\udfff]")


def _is_id(value: object) -> bool:
    return isinstance(value, str) and ID.fullmatch(value) is not None


def _is_name(value: object) -> bool:
    return isinstance(value, str) and NAME.fullmatch(value) is not None


def _is_text(value: object) -> bool:
    # A lone surrogate has no bytes in UTF-8 and could not be stored.
    return (
        isinstance(value, str)
        and len(value) <= LONGEST_FACT
        and not any("\ud800" <= letter <= "\udfff" for letter in value)
    )


def _are_facts(value: object) -> bool:
    return (
        isinstance(value, dict)
        and len(value) <= MOST_FACTS
        and all(
            _is_name(name) and (isinstance(fact, bool) or is_whole(fact) or _is_text(fact))
            for name, fact in value.items()
        )
    )


_ENVELOPE = {
    "log": lambda value: _is_id(value) and len(value) == 32,
    "seq": lambda value: is_whole(value) and value >= 1,
    "case": lambda value: value == "" or (_is_id(value) and len(value) == 16),
    "kind": _is_name,
    "at": lambda value: is_whole(value) and value >= 0,
    "boot": lambda value: value == "" or (_is_id(value) and len(value) == 8),
    "tick": lambda value: is_whole(value) and value >= 0,
    "ago": lambda value: is_whole(value) and 0 <= value <= 604800,
    "protocol": lambda value: value == "" or (_is_id(value) and len(value) == 16),
    "facts": _are_facts,
}
