"""What a person may choose for themselves: cleaning only."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.people.models import Person


class OwnForm(forms.Form):
    hides_suspects = forms.BooleanField(
        required=False,
        label=_("Hide suspects at the bench until I ask for them"),
        help_text=_(
            "The ladder then carries no marks, and an offered check names no part: "
            "think first, then compare."
        ),
    )


class AgainForm(forms.Form):
    password = forms.CharField(
        label=_("Password"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        if not self.person.check_password(password):
            raise forms.ValidationError(_("That is not your password."))
        return password
