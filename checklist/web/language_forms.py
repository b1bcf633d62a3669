"""The forms of the table of a language: what one begins with, and what stays open to change."""

import re

from wtforms import SelectField, StringField, ValidationError
from wtforms.validators import DataRequired, InputRequired, Length, Optional, Regexp

from checklist.errors import ChecklistError
from checklist.translation.source import SOURCE, tidy
from checklist.translation.start import DECIMALS
from checklist.translation.table import TAG, Language, is_pseudo, plural_table, read_language
from checklist.translation.table_review import alike
from checklist.web.forms import Form
from checklist.web.language_parts import formats, visible, workshop
from checklist.web.parts import parts

LONGEST_SIGN = 12
# As composed for Breton: 398.
LONGEST_RULE = 500
_UNIT = "unit."
_NO_SIGN = re.compile(r"[\d{}<>]|^\W+$")
_CHANGEABLE = ("name", "english", "dir", "script", "sample", "decimal", "order")


def _is_sign(form: Form, field: StringField) -> None:
    """Refuse a sign of a unit that nobody sees, that reads as part of a number or a field, or that means another unit."""
    sign, unit = field.data or "", field.name.removeprefix(_UNIT)
    usual = {alike(other) for name, other in source_units().items() if name != unit}
    if formats(sign) or _NO_SIGN.search(sign) or alike(sign) in usual:
        raise ValidationError(field.gettext("Invalid value."))


class TableForm(Form):
    """What may be changed in the table of a language."""

    name = StringField(validators=[DataRequired(), Length(max=60), visible])
    english = StringField(validators=[DataRequired(), Length(max=60), visible])
    dir = SelectField(choices=["ltr", "rtl"])
    script = StringField(validators=[InputRequired(), Regexp(r"[A-Z][a-z]{3}\Z")])
    sample = StringField(validators=[DataRequired(), Length(max=60), visible])
    decimal = SelectField(choices=list(DECIMALS))
    order = SelectField(choices=["nu", "un"])
    fallback = StringField(validators=[Optional(), Length(max=60)])

    def offer(self) -> "TableForm":
        """Fill the lists with words."""
        pack = parts().pack
        for field in (self.dir, self.decimal, self.order):
            field.choices = [(value, pack.text(f"languages.{field.name}.{_word(value)}")) for value in field.choices]
        return self

    def changes(self) -> dict[str, object]:
        """Give what was filled in, by its name in the table; raises language_malformed."""
        fallback = tuple((self.fallback.data or "").replace(",", " ").split())
        if not all(TAG.fullmatch(tag) and not is_pseudo(tag) for tag in fallback):
            raise ChecklistError("language_malformed", why="fallback")
        return {name: tidy(self[name].data) for name in _CHANGEABLE} | {"fallback": fallback}

    def signs(self) -> dict[str, str]:
        """Give the signs that were filled in: {unit: sign}."""
        return {field.name.removeprefix(_UNIT): tidy(field.data) for field in self if field.name.startswith(_UNIT)}


class LanguageForm(TableForm):
    """The table with which a language begins, known to any library or not."""

    tag = StringField(validators=[InputRequired(), Length(max=12), Regexp(TAG.pattern + r"\Z")])
    plural_forms = StringField(validators=[InputRequired(), Length(max=LONGEST_RULE)])

    def chosen(self) -> Language:
        """Give the table that was filled in; raises language_malformed."""
        tag, plural_forms = self.tag.data.strip(), self.plural_forms.data.strip()
        plural_table(plural_forms)
        return Language(**self.changes(), tag=tag, plural_forms=plural_forms, digits="latn", units=source_units())


def table_form(language: Language) -> TableForm:
    """Make the form that holds the table of a language, with a field for the sign of each unit."""
    units = unit_signs(language)
    rules = [DataRequired(), Length(max=LONGEST_SIGN), visible, _is_sign]
    fields = {f"{_UNIT}{unit}": StringField(validators=rules) for unit in units}
    made = type("UnitsForm", (TableForm,), fields)
    told = known(language) | {f"{_UNIT}{unit}": sign for unit, sign in units.items()}
    return made(data=told).offer()


def known(language: Language) -> dict[str, str]:
    """Give a table as the fields of its form."""
    told = {name: getattr(language, name) for name in (*_CHANGEABLE, "tag", "plural_forms")}
    return told | {"fallback": " ".join(language.fallback)}


def unit_signs(language: Language) -> dict[str, str]:
    """Give the sign of each unit of a table, and of those that the source has had since it was begun."""
    return {**source_units(), **language.units}


def source_units() -> dict[str, str]:
    """Give the units of the source with their signs."""
    return read_language(workshop().shipped / SOURCE).units


def _word(value: str) -> str:
    return {".": "point", ",": "comma"}.get(value, value)
