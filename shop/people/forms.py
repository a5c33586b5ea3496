"""What a person may choose for themselves: cleaning only."""

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from shop.people import languages
from shop.people.models import Person, Role


def language_field() -> forms.ChoiceField:
    """The languages of the program; what is left alone stays as it is."""
    return forms.ChoiceField(
        label=_("Language"), choices=languages.of_program, required=False
    )


class OwnForm(forms.Form):
    language = language_field()
    hides_suspects = forms.BooleanField(
        required=False,
        label=_("Hide suspects at the bench until I ask for them"),
        help_text=_(
            "The ladder then carries no marks, and an offered check names no part: "
            "think first, then compare."
        ),
    )


class RolesForm(forms.Form):
    roles = forms.MultipleChoiceField(
        label=_("Roles"),
        choices=Role.choices,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Roles add up."),
    )

    def clean_roles(self) -> list[Role]:
        return [Role(role) for role in self.cleaned_data["roles"]]


class StandingForm(RolesForm):
    """What the owner says of somebody who works here."""

    language = language_field()


class PersonForm(StandingForm):
    name = forms.CharField(label=_("Name"), max_length=200)
    username = forms.CharField(
        label=_("Sign-in name"),
        max_length=150,
        validators=[RegexValidator(r"^[A-Za-z0-9._-]+$")],
        help_text=_("Short, without spaces: letters, digits, dot, hyphen."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    field_order = ("name", "username", "roles", "language")

    def clean_username(self) -> str:
        username: str = self.cleaned_data["username"].lower()
        if Person.objects.filter(username=username).exists():
            raise forms.ValidationError(_("Somebody has this sign-in name already."))
        return username


class StationForm(forms.Form):
    name = forms.CharField(label=_("What it is called"), max_length=60)
    kind = forms.ChoiceField(
        label=_("Where it stands"),
        choices=[("bench", _("at the bench")), ("counter", _("at the counter"))],
        widget=forms.RadioSelect,
        help_text=_(
            "At the bench, technicians switch by PIN or badge, and the tablet goes "
            "back to their names after a quarter of an hour."
        ),
    )
