"""Codes of a second factor, each good once; passwords of one's own."""

from typing import Any

from allauth.mfa.adapter import get_adapter
from allauth.mfa.base.forms import AuthenticateForm, ReauthenticateForm
from allauth.mfa.totp.forms import ActivateTOTPForm
from allauth.mfa.webauthn.forms import AddWebAuthnForm
from django import forms
from django.contrib.auth.password_validation import (
    password_validators_help_text_html,
    validate_password,
)
from django.core.cache import cache
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext_lazy as _

from shop.people.models import Person

# A code of the app fits for ninety seconds: half a minute, and one before and behind.
HELD_SECONDS = 120
CODE = {"autocomplete": "one-time-code", "inputmode": "numeric", "placeholder": ""}


class GoodOnce:
    """A code that was taken once is not taken again while the app shows it."""

    def clean_code(self) -> str:
        code: str = super().clean_code()  # type: ignore[misc]
        person: Person = self.user  # type: ignore[attr-defined]
        spaceless = "".join(code.split())
        name = salted_hmac("people.code", f"{person.pk}:{spaceless}").hexdigest()
        if not cache.add(f"people.code:{name}", True, HELD_SECONDS):
            raise get_adapter().validation_error("incorrect_code")
        return code


class CodeForm(GoodOnce, AuthenticateForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _as_code(self)


class CodeAgainForm(GoodOnce, ReauthenticateForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _as_code(self)


class AppForm(GoodOnce, ActivateTOTPForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _as_code(self)
        self.fields["code"].label = _("The six digits that the app shows")


class KeyForm(AddWebAuthnForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = _("Name")


def _as_code(form: forms.Form) -> None:
    form.fields["code"].widget.attrs = dict(CODE)
    form.fields["code"].label = _("Code")


class PasswordForm(forms.Form):
    """A new password of one's own. Whether it may be set was asked before: fresh."""

    password = forms.CharField(
        label=_("New password"),
        strip=False,
        help_text=password_validators_help_text_html,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    repeated = forms.CharField(
        label=_("The same once more"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        validate_password(password, self.person)
        if self.person.check_password(password):
            raise forms.ValidationError(_("That is the old one."))
        return password

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        if "password" in typed and typed["password"] != typed.get("repeated"):
            self.add_error("repeated", _("The two differ."))
        return typed


class PinForm(forms.Form):
    pin = forms.CharField(
        label=_("New PIN"),
        max_length=8,
        help_text=_(
            "Four to eight digits, for the bench tablets alone. Five wrong tries, "
            "and it sleeps until you sign in with your password."
        ),
        widget=forms.PasswordInput(
            attrs={"autocomplete": "off", "inputmode": "numeric"}
        ),
    )
