"""Refuse what a protocol must not be, by where and why."""

from typing import NoReturn

from checklist.errors import ChecklistError


def refuse(where: str, why: str) -> NoReturn:
    """Raise protocol_malformed."""
    raise ChecklistError("protocol_malformed", where=where, why=why)


def rows_of(where: str, value: object, least: int = 1) -> list[dict]:
    """Give a list of objects that have an id; raises protocol_malformed."""
    if not isinstance(value, list) or len(value) < least:
        refuse(where, "missing")
    for row in value:
        if not isinstance(row, dict):
            refuse(where, "not an object")
        if not isinstance(row.get("id"), str) or not row["id"]:
            refuse(where, "id missing")
    return value


def texts_of(where: str, column: str, value: object) -> list[str]:
    """Give a list of texts that is not empty; raises protocol_malformed."""
    if not isinstance(value, list) or not value or not all(isinstance(v, str) for v in value):
        refuse(where, f"{column} missing")
    return value


def check_whole(where: str, column: str, value: object) -> None:
    """Refuse what is not a whole number."""
    if not isinstance(value, int) or isinstance(value, bool):
        refuse(where, f"{column} is not a whole number")


def check_flag(where: str, column: str, value: object) -> None:
    """Refuse what is not true or false: the halves would weigh an empty list each in its own way."""
    if not isinstance(value, bool):
        refuse(where, f"{column} is not true or false")


def check_choice(where: str, column: str, value: object, choices: tuple[str, ...]) -> None:
    """Refuse what is none of the choices."""
    if not isinstance(value, str) or value not in choices:
        refuse(where, f"{column} unknown")
