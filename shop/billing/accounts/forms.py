"""What is typed about accounts: cleaning only."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.billing.models import Payment
from shop.intake.account_models import AccountPrices, AccountTerms
from shop.intake.fields import day, takes_scans, text
from shop.money_fields import InCurrency, MoneyField, NumberField
from shop.people.languages import named


class RulesForm(InCurrency):
    """The rules of an account; ``seen`` is the row that the page showed."""

    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)
    payment_days = forms.IntegerField(
        label=_("Days to pay in"), min_value=0, max_value=365, initial=30
    )
    standing_cap = MoneyField(
        label=_("Standing cap, with tax"),
        required=False,
        help_text=_("Work on each machine up to it needs no answer to a quote."),
    )
    credit_limit = MoneyField(
        label=_("Credit limit, with tax"),
        required=False,
        help_text=_(
            "Open invoices and work that is not billed yet. Above it the owner alone "
            "hands over, with a reason. Empty: no limit."
        ),
    )
    order_number = text(_("Standing order number"), 80)
    needs_order = forms.BooleanField(
        label=_("No invoice without an order number"), required=False
    )
    billing_contact = text(_("Who gets the invoices"), 200)
    billing_email = forms.EmailField(label=_("E-mail for invoices"), required=False)
    language = forms.ChoiceField(label=_("Invoices speak"), required=False)

    def __init__(self, *args: Any, languages: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if len(languages) < 2:
            del self.fields["language"]
            return
        self.fields["language"].choices = named(languages)  # type: ignore[attr-defined]

    def answers(self) -> dict[str, Any]:
        return self.cleaned_data | {"seen": self.cleaned_data["seen"] or 0}


def initial_of_rules(rules: AccountTerms) -> dict[str, Any]:
    names = (
        *("payment_days", "standing_cap", "credit_limit", "order_number"),
        *("needs_order", "billing_contact", "billing_email", "language"),
    )
    return {name: getattr(rules, name) for name in names}


class PricesForm(InCurrency):
    """The customer's own prices; what is left empty is the shop's."""

    hourly_rate = MoneyField(label=_("An hour of work, before tax"), required=False)
    diagnosis_fee = MoneyField(label=_("Diagnosis fee, before tax"), required=False)
    markup_percent = forms.IntegerField(
        label=_("On the cost of a part, %"), min_value=0, max_value=500, required=False
    )
    discount = NumberField(
        label=_("Off labour, parts and consumables, %"),
        digits=2,
        most=100,
        required=False,
    )
    first_day = day(_("From this day on"))
    first_day.help_text = _("Empty: from now on. What was taken in keeps its prices.")

    def answers(self) -> dict[str, Any]:
        typed = dict(self.cleaned_data)
        discount: Decimal | None = typed.pop("discount")
        return typed | {"discount_basis_points": int((discount or 0) * 100)}


def initial_of_prices(prices: AccountPrices) -> dict[str, Any]:
    names = ("hourly_rate", "diagnosis_fee", "markup_percent")
    off = Decimal(prices.discount_basis_points).scaleb(-2).normalize()
    return {name: getattr(prices, name) for name in names} | {"discount": f"{off:f}"}


class AccountPaymentForm(InCurrency):
    amount = MoneyField(label=_("Amount"))
    method = forms.ChoiceField(
        label=_("How"),
        choices=Payment.Method.choices,
        initial=Payment.Method.TRANSFER,
    )
    number = forms.ChoiceField(label=_("For"), required=False)
    reference = forms.CharField(label=_("Reference"), max_length=80, required=False)

    def __init__(self, *args: Any, numbers: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["number"].choices = [  # type: ignore[attr-defined]
            ("", _("what is open, the oldest first")),
            *((one, one) for one in numbers),
        ]


class PeriodForm(forms.Form):
    first = forms.DateField(
        label=_("First day"), widget=forms.DateInput(attrs={"type": "date"})
    )
    last = forms.DateField(
        label=_("Last day"), widget=forms.DateInput(attrs={"type": "date"})
    )

    def clean(self) -> dict[str, Any]:
        typed = self.cleaned_data
        first, last = typed.get("first"), typed.get("last")
        if first and last and last < first:
            self.add_error("last", _("It ends before it begins."))
        if first and first < date(1990, 1, 1):
            self.add_error("first", _("That is too long ago."))
        return typed


class OrderForm(forms.Form):
    """The order number of one ticket, and whom to ask about its machine."""

    order_number = takes_scans(text(_("Order number"), 80))
    contact = text(_("Whom to ask about this machine"), 200)
