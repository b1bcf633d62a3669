"""Whole numbers and days that somebody asks with: in an address, in a query, in a form.

What no log, file or page could hold is answered like what is not there, and never
reaches the store, which would break off on it.
"""

import re

from flask import request
from werkzeug.routing import IntegerConverter
from wtforms import DateField, IntegerField
from wtforms.widgets import TextInput

from checklist.core.kinds import LARGEST

# The keys for digits of some phones have no hyphen.
_BARE_DAY = re.compile(r"(\d{4})(\d\d)(\d\d)")


def whole(name: str, otherwise: int | None = None) -> int | None:
    """Give a whole number of the query; otherwise when there is none that can be."""
    number = request.args.get(name, otherwise, type=int)
    return otherwise if number is None or abs(number) > LARGEST else number


class Number(IntegerConverter):
    """A whole number in an address; a larger one than can be is no address."""

    def __init__(self, url_map, **bounds: object) -> None:
        super().__init__(url_map, **{"max": LARGEST, **bounds})


class WholeField(IntegerField):
    """A whole number in a form; a larger one than can be is refused like a word."""

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read the number; raises ValueError as the library expects."""
        super().process_formdata(valuelist)
        if self.data is not None and abs(self.data) > LARGEST:
            self.data = None
            # Whatever the library says here, our own sentence is what is shown.
            raise ValueError(self.gettext("Not a valid integer value."))


class DayField(DateField):
    """A day in a form, typed as year, month, day.

    A browser's own field shows the order of its own country, where 2 March can be read as 3 February.
    """

    widget = TextInput()

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read the day; raises ValueError as the library expects."""
        typed = (value.strip() for value in valuelist)
        super().process_formdata(["-".join(bare.groups()) if (bare := _BARE_DAY.fullmatch(value)) else value for value in typed])
