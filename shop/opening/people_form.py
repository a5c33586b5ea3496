"""Who works here: the owner with a password of their own, others by name and role."""

import re
import unicodedata
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from shop.intake.fields import text
from shop.people.models import WORK_ROLES, Person, Role

OTHERS = 5
USERNAME = re.compile(r"^[\w.+@-]+$")


@dataclass(frozen=True)
class Newcomer:
    name: str
    username: str
    roles: tuple[Role, ...]


def username_of(name: str) -> str:
    """A sign-in name out of a person's first name.

    >>> username_of("Inés Okafor")
    'ines'
    """
    plain = unicodedata.normalize("NFKD", name.strip().split(" ")[0].lower())
    return "".join(c for c in plain if c.isascii() and c.isalnum()) or "owner"


class OwnerForm(forms.Form):
    your_name = text(_("Your name"), 200, is_needed=True)
    username = forms.CharField(
        label=_("Your sign-in name"),
        max_length=150,
        required=False,
        help_text=_("Empty: your first name, in small letters."),
        widget=forms.TextInput(attrs={"autocomplete": "username"}),
    )
    password = forms.CharField(
        label=_("Your password"),
        strip=False,
        help_text=_("At least 12 characters, none of the well-known ones."),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    also = forms.MultipleChoiceField(
        label=_("You own the shop, and also work as"),
        choices=[(r.value, r.label) for r in (Role.FRONT_DESK, Role.TECHNICIAN)],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )

    def clean_username(self) -> str:
        typed: str = self.cleaned_data["username"].strip().lower()
        if typed and not USERNAME.match(typed):
            raise forms.ValidationError(_("Letters, digits, dot, dash."))
        return typed or username_of(self.cleaned_data.get("your_name", ""))

    def roles(self) -> list[Role]:
        return [Role.OWNER, *(Role(role) for role in self.cleaned_data["also"])]

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        person = Person(
            name=self.cleaned_data.get("your_name", ""),
            username=self.cleaned_data.get("username", ""),
        )
        validate_password(password, person)
        return password


class OthersForm(forms.Form):
    """Up to five more; whoever has a name gets a first password, shown once."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for n in range(OTHERS):
            self.fields[f"person{n}_name"] = text(f"{_('Name')} {n + 2}", 200)
            self.fields[f"person{n}_roles"] = forms.MultipleChoiceField(
                label=f"{_('Does')} {n + 2}",
                choices=[(role.value, role.label) for role in WORK_ROLES],
                widget=forms.CheckboxSelectMultiple,
                required=False,
            )

    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [
            (self[f"person{n}_name"], self[f"person{n}_roles"]) for n in range(OTHERS)
        ]

    def clean(self) -> dict[str, Any]:
        for n in range(OTHERS):
            name = self.cleaned_data.get(f"person{n}_name")
            if name and not self.cleaned_data.get(f"person{n}_roles"):
                self.add_error(f"person{n}_roles", _("Say what they do here."))
        return self.cleaned_data

    def newcomers(self, taken: str) -> list[Newcomer]:
        """The others with sign-in names that differ from each other and ``taken``."""
        used, found = {taken}, []
        for n in range(OTHERS):
            name = self.cleaned_data[f"person{n}_name"].strip()
            if not name:
                continue
            username = _free(username_of(name), used)
            used.add(username)
            roles = tuple(Role(r) for r in self.cleaned_data[f"person{n}_roles"])
            found.append(Newcomer(name, username, roles))
        return found


def _free(wanted: str, used: set[str]) -> str:
    """The name, or the name with the first number that makes it another.

    >>> _free("ines", {"ines", "ines2"})
    'ines3'
    """
    if wanted not in used:
        return wanted
    numbered = (f"{wanted}{n}" for n in range(2, len(used) + 3))
    return next(name for name in numbered if name not in used)
