"""checklist replay: fold a log again and say what it tells."""

import json
from pathlib import Path

import click

from checklist.cli.common import Refusal
from checklist.core.case import fold
from checklist.core.event import parse
from checklist.core.limits import advise
from checklist.core.measures import measures
from checklist.errors import ERRORS, ChecklistError
from checklist.tables import protocol_in_force, protocols

DAMAGED = ERRORS["log_torn"].exit


@click.command()
@click.argument("log", type=click.Path(path_type=Path, dir_okay=False, exists=True))
@click.option("--case", "case_id", help="The case to replay, when the log holds several.")
@click.option(
    "--at", type=click.IntRange(min=0), metavar="MS",
    help="Moment to judge at, in ms since 1970 UTC.  [default: the last event]",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def replay(log: Path, case_id: str | None, at: int | None, as_json: bool) -> None:
    """Replay LOG, a file of events one a line, and print timeline, measures and advice.

    A line that cannot be read is named on the error output and left out; the
    rest is replayed all the same.

    \b
    Examples:
      checklist replay case.jsonl
      checklist replay case.jsonl --at 1790000600000 --json
    \b
    Exit codes:
      0   every line was read
      2   wrong use, or the file cannot be opened
      65  a line was torn or malformed, or there is no such single case
    """
    events, damaged = _read(log)
    told = fold(_of_one_case(events, case_id))
    protocol = _protocol(told["protocol"])
    now = _moment(told["clock"], at)
    found = {
        "case": told,
        "measures": measures(told, now),
        "advice": advise(told, protocol, now),
    }
    click.echo(json.dumps(found, ensure_ascii=False) if as_json else _for_people(found))
    if damaged:
        raise Refusal(f"{damaged} damaged line(s) in {log} were left out.", DAMAGED)


def _read(log: Path) -> tuple[list[dict], int]:
    events, damaged = [], 0
    # Split by hand: text files would also part a line at letters inside a note.
    for number, raw in enumerate(log.read_bytes().split(b"\n"), start=1):
        if not raw:
            continue
        try:
            events.append(parse(raw.decode()))
        except (ChecklistError, UnicodeDecodeError) as error:
            why = error.facts["why"] if isinstance(error, ChecklistError) else "not UTF-8"
            click.echo(f"{log}:{number}: {why}", err=True)
            damaged += 1
    return events, damaged


def _of_one_case(events: list[dict], case_id: str | None) -> list[dict]:
    held = sorted({event["case"] for event in events if event["case"]})
    if case_id is None and len(held) == 1:
        case_id = held[0]
    if case_id not in held:
        known = ", ".join(held) or "none"
        raise Refusal(f"Name one case with --case; the log holds: {known}.", DAMAGED)
    return [event for event in events if event["case"] == case_id]


def _protocol(digest: str) -> dict:
    known = protocols()
    if digest in known:
        return known[digest]
    in_force, table = protocol_in_force()
    if digest:
        click.echo(f"protocol {digest} is not known here; judged by {in_force}", err=True)
    return table


def _moment(clock: dict, at: int | None) -> dict:
    if at is None:
        return {name: clock[name] for name in ("at", "boot", "tick")}
    later = at - clock["at"]
    return {"at": at, "boot": clock["boot"], "tick": max(clock["tick"] + later, 0)}


def _for_people(found: dict) -> str:
    case = found["case"]
    return "\n".join(
        [
            f"case {case['case']}  {case['label']}  {case['post']}".rstrip(),
            "", "timeline", *map(_row, case["timeline"]),
            "", "measures",
            *(f"  {name:24} {_value(value)}" for name, value in found["measures"].items()),
            "", "advice", *map(_finding, found["advice"]),
        ]
    )


def _row(row: dict) -> str:
    seconds = row["ms"] // 1000
    sign = "-" if seconds < 0 else "+"
    clock = f"{sign}{abs(seconds) // 60:02d}:{abs(seconds) % 60:02d}"
    facts = " ".join(f"{name}={value}" for name, value in row["facts"].items())
    marks = "".join(f" [{mark}]" for mark in ("void", "amended", "estimated") if row[mark])
    return f"  {clock:>8}  {row['kind']}{marks}  {facts}".rstrip()


def _finding(finding: dict) -> str:
    value, bound = _value(finding["value"]), _value(finding["bound"])
    return f"  {finding['level']:8} {finding['limit']:24} value {value}, bound {bound}"


def _value(value: object) -> str:
    return "cannot tell" if value is None else str(value)
