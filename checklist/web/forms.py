"""The forms of the station's pages; their ranges come from the table of kinds."""

from flask_wtf import FlaskForm
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange, Optional

from checklist import packs
from checklist.device import LONGEST_NAME
from checklist.station import OUTER_SAME_CONTRACTION_S, Post
from checklist.tables import kinds
from checklist.web.asked import WholeField
from checklist.web.parts import parts


class _Words:
    """Answers every complaint of the form library with our one sentence.

    The range stands beside each field, so "look at the range" is all there is to say.
    """

    def gettext(self, string: str) -> str:
        return parts().pack.text("station.field.refused")

    def ngettext(self, singular: str, plural: str, n: int) -> str:
        return self.gettext(singular)


class Form(FlaskForm):
    """A form that speaks the post's language."""

    class Meta(FlaskForm.Meta):
        """Hand our words to the form library."""

        def get_translations(self, form: FlaskForm) -> _Words:
            return _Words()


class NameForm(Form):
    """What people call a device."""

    name = StringField(validators=[InputRequired(), Length(max=LONGEST_NAME)])


class ActionForm(Form):
    """A button that changes something; carries only the token."""


def _spec(fact: str) -> dict:
    return kinds()["post_set"]["facts"][fact]


class PostForm(Form):
    """The settings of a post."""

    post = StringField(validators=[InputRequired(), Length(max=_spec("post")["max"])])
    altitude_m = WholeField(
        validators=[
            Optional(),
            NumberRange(_spec("altitude_m")["min"], _spec("altitude_m")["max"]),
        ]
    )
    gauge_unit = SelectField()
    # The outer bound: a post may be stricter than the protocol, never looser.
    same_contraction_s = WholeField(
        validators=[InputRequired(), NumberRange(0, OUTER_SAME_CONTRACTION_S)]
    )
    language = SelectField()

    def offer(self) -> "PostForm":
        """Fill the lists: gauge units by their signs, languages by their own names."""
        shared = parts()
        self.gauge_unit.choices = [
            (unit, shared.pack.units[unit]) for unit in _spec("gauge_unit")["choices"]
        ]
        offered = {tag: pack.name for tag, pack in shared.packs.items()}
        # Each in its own tongue, for whoever hears the page read out.
        named = offered | packs.names(shared.journal.reader)
        self.language.choices = [(tag, name, {"lang": tag}) for tag, name in named.items()]
        return self

    def chosen(self) -> Post:
        """Give what was filled in."""
        return Post(
            post=self.post.data.strip(),
            altitude_m=self.altitude_m.data,
            gauge_unit=self.gauge_unit.data,
            same_contraction_s=self.same_contraction_s.data,
            language=self.language.data,
        )
