"""What a person may choose for themselves: cleaning only."""

from typing import Any

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from shop.people import languages
from shop.people.models import WORK_ROLES, Person, Role


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
    """What somebody does here; or that they look at the books until a day."""

    roles = forms.MultipleChoiceField(
        label=_("Roles"),
        choices=[(role.value, role.label) for role in WORK_ROLES],
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Roles add up."),
        required=False,
    )
    ends_on = forms.DateField(
        label=_("Auditor until"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_(
            "For somebody who only looks: at papers, journal and audit bundle, until "
            "the end of that day. Empty for who works here."
        ),
    )

    def clean_roles(self) -> list[Role]:
        return [Role(role) for role in self.cleaned_data["roles"]]

    def clean(self) -> dict[str, Any]:
        roles, ends_on = (self.cleaned_data.get(key) for key in ("roles", "ends_on"))
        if ends_on and roles:
            self.add_error("roles", _("An auditor has no other role here."))
        elif ends_on:
            self.cleaned_data["roles"] = [Role.AUDITOR]
        elif not roles and "roles" not in self.errors and "ends_on" not in self.errors:
            self.add_error("roles", _("At least one role; or the person leaves."))
        return self.cleaned_data


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
    field_order = ("name", "username", "roles", "ends_on", "language")

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
