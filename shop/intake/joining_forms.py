"""The two pages on which customers are joined and parted."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.intake.fields import choice, long_text
from shop.intake.models import Customer


class JoinForm(forms.Form):
    """Which of two rows stays; the versions are those that the page showed."""

    version_0 = forms.IntegerField(widget=forms.HiddenInput)
    version_1 = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, rows: Sequence[Customer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [(str(row.pk), f"{row.name}, {row.phone_typed}") for row in rows]
        self.fields["kept"] = choice(_("Stays"), names, initial=names[0][0])
        for number, row in enumerate(rows):
            self.fields[f"version_{number}"].initial = row.version

    def versions(self) -> list[int]:
        return [self.cleaned_data["version_0"], self.cleaned_data["version_1"]]

    def clean(self) -> dict[str, Any]:
        typed = self.cleaned_data
        if not typed.get("kept", "missing"):
            typed["kept"] = self.fields["kept"].initial
        return typed


class PartForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput)
    reason = long_text(_("Why they are two people"), is_needed=True, rows=2)
