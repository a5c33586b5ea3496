"""Rates, fees, tax and promises on one page: a new set of terms."""

from datetime import date, datetime, time, tzinfo
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.billing.forms import day_field
from shop.intake.fields import choice, text
from shop.money_fields import MoneyField
from shop.opening.forms import FeeForm, RateForm, TaxForm, WarrantyForm, whole
from shop.people.models import NoFixRule, Untaxed

NOTICES = ("unclaimed_first_days", "unclaimed_second_days", "unclaimed_last_days")


class RatesForm(RateForm, FeeForm, WarrantyForm, TaxForm):
    field_order = (
        *("valid_from", "hourly_rate", "cost_rate", "increment_minutes", "minimum"),
        *("consumables", "express_percent", "diagnosis_fee", "diagnosis_minutes"),
        *("fee_rule", "no_fix_rule", "cap_percent", "quote_valid_days"),
    )

    cost_rate = MoneyField(
        label=_("An hour of work costs the shop"),
        required=False,
        help_text=_("Wages and what goes with them. For the margin by board model."),
    )
    increment_minutes = whole(
        _("Time is billed in steps of, in minutes"),
        120,
        least=1,
        help_text=_("Rounded up once for each kind and rate of a ticket."),
    )
    minimum = MoneyField(
        label=_("Labour of a repair is at least"),
        help_text=_("0: no minimum."),
    )
    consumables = MoneyField(
        label=_("Consumables of a repair"),
        help_text=_("A flat line: flux, solder, cleaner. 0: none."),
    )
    express_percent = whole(
        _("Express costs more on the labour, in per cent"),
        300,
        help_text=_("Asked at intake, or in a quote. 0: there is no express."),
    )
    no_fix_rule = choice(
        _("Where it can’t be mended we bill"), NoFixRule.choices, initial=NoFixRule.FEE
    )
    cap_percent = whole(
        _("A quote may be exceeded by, in per cent"),
        100,
        help_text=_("The usual cap: beyond it we ask again."),
    )
    quote_valid_days = whole(_("Quotes are valid for, in days"), 365, least=1)
    untaxed_as = choice(
        _("What is billed at 0 % is"), Untaxed.choices, initial=Untaxed.EXEMPT
    )
    untaxed_reason = text(_("Why there is no tax on it"), 200)
    untaxed_reason.help_text = _(
        "Printed on invoices. An invoice without tax is an e-invoice only with it."
    )
    valid_from = day_field(
        _("Valid from"), help_text=_("From the morning of that day. Empty: from now.")
    )
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)
    first_word_days = whole(
        _("First word within, in working days"),
        30,
        help_text=_("Promised at intake, until we close on that day. 0: no promise."),
    )
    quote_reminder_days = whole(_("Remind of a quote after, in days"), 60, least=1)
    unclaimed_first_days = whole(
        _("Not collected: first notice after, in days"), 365, least=1
    )
    unclaimed_second_days = whole(_("Second notice after, in days"), 365, least=2)
    unclaimed_last_days = whole(_("Last notice after, in days"), 730, least=3)

    def clean(self) -> dict[str, Any]:
        """The notices follow each other."""
        typed = self.cleaned_data
        days = [typed.get(name) for name in NOTICES]
        for name, before, after in zip(NOTICES[1:], days, days[1:], strict=False):
            if before is not None and after is not None and after <= before:
                self.add_error(name, _("A later notice comes after the one before it."))
        return typed

    def begins_at(self, zone: tzinfo) -> datetime | None:
        """The first moment of the day that was typed; None is now."""
        day: date | None = self.cleaned_data["valid_from"]
        return None if day is None else datetime.combine(day, time(), zone)

    def answers(self) -> dict[str, Any]:
        """What ``terms_set`` wants to know."""
        typed = self.cleaned_data
        cost = typed["cost_rate"]
        plain = (
            "warranty_days",
            "liquid_warranty_days",
            "diagnosis_minutes",
            "first_word_days",
            "quote_reminder_days",
            "untaxed_reason",
            "increment_minutes",
            "express_percent",
            "cap_percent",
            "quote_valid_days",
            *NOTICES,
        )
        return {
            **self.columns(),
            **{name: typed[name] for name in plain},
            "seen": typed["seen"] or 0,
            "untaxed_as": typed["untaxed_as"] or self.fields["untaxed_as"].initial,
            "fee_rule": typed["fee_rule"] or self.fields["fee_rule"].initial,
            "no_fix_rule": typed["no_fix_rule"] or self.fields["no_fix_rule"].initial,
            "minimum_minor": typed["minimum"].minor,
            "consumables_minor": typed["consumables"].minor,
            "hourly_rate_minor": typed["hourly_rate"].minor,
            "cost_rate_minor": cost.minor if cost is not None else None,
            "diagnosis_fee_minor": typed["diagnosis_fee"].minor,
        }
