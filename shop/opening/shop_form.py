"""The shop itself on one page, after the set-up."""

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.opening.forms import (
    AddressForm,
    BackupForm,
    CountryForm,
    LogoForm,
    NameForm,
    PlaceForm,
    PrintersForm,
)

PLAIN = ("name", "street", "town", "phone", "email", "tax_id", "account", "country")


class ShopForm(
    NameForm, AddressForm, LogoForm, CountryForm, PlaceForm, PrintersForm, BackupForm
):
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    no_logo = forms.BooleanField(
        required=False, label=_("No logo on papers from now on")
    )

    field_order = (
        *PLAIN,
        *("currency", "time_zone", "language_1", "language_2", "language_3"),
        *("paper_size", "rolls", "logo", "no_logo", "backup_place"),
    )

    def columns(self) -> dict[str, str]:
        """The columns of the shop's row."""
        typed = self.cleaned_data
        return {
            **{name: typed[name] for name in PLAIN},
            **PlaceForm.columns(self),
            **PrintersForm.columns(self),
            "backup_place": typed["backup_place"],
        }
