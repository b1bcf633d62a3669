"""One face over both halves of the core, so that one test body runs in both.

Names are given as Python spells them and turned into JavaScript's spelling:
``half.call("core/units", "reading_from_pascals", ["mmhg", 80000])``. Values pass
as JSON both ways, so what is compared is what both halves would write down.
"""

import dataclasses
import importlib
import json
import re
from collections.abc import Sequence
from contextlib import contextmanager

import pytest

from checklist.errors import ChecklistError
from checklist.tables import STATIC

# localhost counts as a safe place, so pages there may use the browser's crypto.
ORIGIN = "http://localhost:8499"
# Stands in the arguments of a step for what the step before gave.
PREVIOUS = {"previous": "step"}

_TYPES = {".js": "text/javascript", ".json": "application/json"}
_RUN = """async ([modulePath, name, rows]) => {
  const module = await import(modulePath);
  if (typeof module[name] !== "function") throw new Error(`${modulePath} exports no ${name}`);
  return JSON.stringify(await Promise.all(rows.map(async (args) => {
    try {
      return { gives: (await module[name](...args)) ?? null };
    } catch (error) {
      if (error.name !== "ChecklistError") throw error;
      return { fails: error.code, facts: error.facts };
    }
  })));
}"""
_CHAIN = """async ([steps, previous]) => {
  const isPrevious = (value) => JSON.stringify(value) === JSON.stringify(previous);
  let last = null;
  for (const [modulePath, name, args] of steps) {
    const module = await import(modulePath);
    last = await module[name](...args.map((value) => (isPrevious(value) ? last : value)));
  }
  return JSON.stringify([last ?? null]);
}"""


class Half:
    """What both halves can be asked; a subclass says how one of them answers."""

    name = ""

    def outcomes(self, module: str, name: str, rows: Sequence[list]) -> list[dict]:
        """Call once for each row of arguments: [{"gives"} or {"fails", "facts"}]."""
        raise NotImplementedError

    def chain(self, *steps: tuple[str, str, list]) -> object:
        """Call in order, PREVIOUS in the arguments standing for the last value."""
        raise NotImplementedError

    def call(self, module: str, name: str, args: list) -> object:
        """Call once; raises the half's ChecklistError as Python's."""
        return self.each(module, name, [args])[0]

    def each(self, module: str, name: str, rows: Sequence[list]) -> list:
        """Call once for each row and give the values; raises the first error."""
        return [_value(outcome) for outcome in self.outcomes(module, name, rows)]


class PythonHalf(Half):
    """The half that the station runs."""

    name = "python"

    def outcomes(self, module: str, name: str, rows: Sequence[list]) -> list[dict]:
        function = _function(module, name)
        return [_outcome(function, args) for args in rows]

    def chain(self, *steps: tuple[str, str, list]) -> object:
        last = None
        for module, name, args in steps:
            given = [last if value == PREVIOUS else value for value in args]
            last = _function(module, name)(*given)
        return _plain(last)


class JavaScriptHalf(Half):
    """The half that the tablet runs, in a page of a real browser."""

    name = "javascript"

    def __init__(self, page) -> None:
        self.page = page

    def outcomes(self, module: str, name: str, rows: Sequence[list]) -> list[dict]:
        return json.loads(self.page.evaluate(_RUN, [_path(module), camel(name), list(rows)]))

    def chain(self, *steps: tuple[str, str, list]) -> object:
        named = [[_path(module), camel(name), args] for module, name, args in steps]
        return json.loads(self.page.evaluate(_CHAIN, [named, PREVIOUS]))[0]


@contextmanager
def open_modules(browser):
    """Open a page that can import every module of static/, with no server running."""
    page = browser.new_page()
    page.route(f"{ORIGIN}/**", _fulfil)
    page.goto(f"{ORIGIN}/")
    page.evaluate(
        "async (kinds) => (await import('/core/kinds.js')).useKinds(kinds)",
        json.loads((STATIC / "core" / "kinds.json").read_text(encoding="utf-8")),
    )
    yield page
    page.close()


@pytest.fixture(scope="session")
def modules_page(browser):
    """The page that all tests of a run share."""
    with open_modules(browser) as page:
        yield page


@pytest.fixture(scope="session", params=["python", "javascript"])
def half(request):
    """Each half in turn; the browser starts only when the second is asked."""
    if request.param == "python":
        return PythonHalf()
    return JavaScriptHalf(request.getfixturevalue("modules_page"))


@pytest.fixture(scope="session")
def both(modules_page):
    """Both halves at once, to hold one against the other."""
    return PythonHalf(), JavaScriptHalf(modules_page)


def camel(name: str) -> str:
    """Spell a name as JavaScript does: weeks_days is weeksDays."""
    return re.sub(r"_(\w)", lambda found: found.group(1).upper(), name)


def _path(module: str) -> str:
    return f"/{module}.js"


def _function(module: str, name: str):
    return getattr(importlib.import_module(f"checklist.{module.replace('/', '.')}"), name)


def _outcome(function, args: list) -> dict:
    try:
        return {"gives": _plain(function(*args))}
    except ChecklistError as error:
        return {"fails": error.code, "facts": _plain(error.facts)}


def _plain(value: object) -> object:
    return json.loads(json.dumps(value, default=dataclasses.asdict))


def _value(outcome: dict) -> object:
    if "fails" in outcome:
        raise ChecklistError(outcome["fails"], **outcome["facts"])
    return outcome["gives"]


def _fulfil(route) -> None:
    path = route.request.url.removeprefix(ORIGIN).lstrip("/")
    if not path:
        route.fulfill(body="<!doctype html><title>modules</title>", content_type="text/html")
        return
    file = STATIC / path
    if file.is_file():
        route.fulfill(body=file.read_bytes(), content_type=_TYPES.get(file.suffix, "text/plain"))
    else:
        route.fulfill(status=404, body="")
