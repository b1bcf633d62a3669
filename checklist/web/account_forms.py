"""The forms by which people sign in and keep accounts."""

from wtforms import PasswordField, SelectMultipleField, StringField
from wtforms.validators import InputRequired, Length
from wtforms.widgets import CheckboxInput, ListWidget

from checklist import passwords
from checklist.accounts import LONGEST_NAME, ROLES
from checklist.web.forms import Form
from checklist.web.parts import parts

# Six digits, with room for the blanks that people put in.
LONGEST_CODE = 20


class EnterForm(Form):
    """Name and password."""

    name = StringField(validators=[InputRequired(), Length(max=LONGEST_NAME)])
    # No bounds here: a password that is too short is wrong like any other.
    password = PasswordField(validators=[InputRequired(), Length(max=passwords.LONGEST)])
    code = StringField(validators=[Length(max=LONGEST_CODE)])


class SecondForm(Form):
    """The password, and the code that the phone shows."""

    now = PasswordField(validators=[InputRequired(), Length(max=passwords.LONGEST)])
    code = StringField(validators=[InputRequired(), Length(max=LONGEST_CODE)])


class ChooseForm(Form):
    """A new password, typed twice."""

    chosen = PasswordField(validators=[InputRequired()])
    again = PasswordField(validators=[InputRequired()])

    def is_taken(self, name: str) -> bool:
        """Tell whether the password is taken; otherwise the field says why not."""
        why = passwords.weakness(self.chosen.data, name)
        if why:
            self.chosen.errors = [parts().pack.text(f"accounts.password.{why}")]
        elif self.again.data != self.chosen.data:
            self.again.errors = [parts().pack.text("accounts.password.differs")]
        return not (self.chosen.errors or self.again.errors)


class FirstForm(ChooseForm):
    """The first account: its name too."""

    name = StringField(validators=[InputRequired(), Length(max=LONGEST_NAME)])


class ChangeForm(ChooseForm):
    """The password of now, and the new one."""

    now = PasswordField(validators=[InputRequired(), Length(max=passwords.LONGEST)])


class AddForm(Form):
    """A new account: a name and its roles."""

    name = StringField(validators=[InputRequired(), Length(max=LONGEST_NAME)])
    roles = SelectMultipleField(
        validators=[InputRequired()], choices=list(ROLES),
        option_widget=CheckboxInput(), widget=ListWidget(prefix_label=False),
    )
