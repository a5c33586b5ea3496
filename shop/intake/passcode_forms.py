"""What is typed about a passcode: cleaning only."""

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.intake.fields import choice
from shop.intake.passcode_models import PasscodeKind, ShownFor
from shop.intake.passcodes import LONGEST

WITHOUT_IT = [
    (PasscodeKind.NONE, _("Yes: none needed")),
    (PasscodeKind.CUSTOMER, _("Yes: the customer types it in")),
    (PasscodeKind.PIN, _("No: a PIN")),
    (PasscodeKind.PASSWORD, _("No: a password")),
    (PasscodeKind.PATTERN, _("No: a drawn pattern")),
]
# Nobody remembers it, guesses at it or sends it off to be spelled.
KEPT_TO_ITSELF = {
    "autocomplete": "off",
    "autocapitalize": "none",
    "autocorrect": "off",
    "spellcheck": "false",
}


class PasscodeForm(forms.Form):
    kind = choice(_("Can we work without it?"), WITHOUT_IT)
    passcode = forms.CharField(
        label=_("If not: what opens it"),
        required=False,
        strip=False,
        max_length=LONGEST,
        widget=forms.TextInput(attrs=KEPT_TO_ITSELF),
        help_text=_("A pattern: its dots in order, numbered as beside."),
    )
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)


class ShowForm(forms.Form):
    reason = choice(_("What for?"), ShownFor.choices)
