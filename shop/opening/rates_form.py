"""Rates, fees, tax and promises on one page: a new set of terms."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.money_fields import MoneyField
from shop.opening.forms import FeeForm, RateForm, TaxForm, WarrantyForm, whole


class RatesForm(RateForm, FeeForm, WarrantyForm, TaxForm):
    cost_rate = MoneyField(
        label=_("An hour of work costs the shop"),
        required=False,
        help_text=_("Wages and what goes with them. For the margin by board model."),
    )
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)
    first_word_days = whole(
        _("First word within, in working days"),
        30,
        help_text=_("Promised at intake, until we close on that day. 0: no promise."),
    )

    def answers(self) -> dict[str, Any]:
        """What ``terms_set`` wants to know."""
        typed = self.cleaned_data
        cost = typed["cost_rate"]
        plain = (
            "warranty_days",
            "liquid_warranty_days",
            "diagnosis_minutes",
            "first_word_days",
        )
        return {
            **self.columns(),
            **{name: typed[name] for name in plain},
            "seen": typed["seen"] or 0,
            "fee_rule": typed["fee_rule"] or self.fields["fee_rule"].initial,
            "hourly_rate_minor": typed["hourly_rate"].minor,
            "cost_rate_minor": cost.minor if cost is not None else None,
            "diagnosis_fee_minor": typed["diagnosis_fee"].minor,
        }
