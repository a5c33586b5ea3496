"""How deposits and cash are handled, as it is typed."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.billing.paying.models import DepositPaper, PaymentRules
from shop.billing.paying.rules import STEPS
from shop.intake.fields import choice, text
from shop.money import minor_digits
from shop.shown import figures


class CreditMoveForm(forms.Form):
    to = text(_("For ticket"), 40, is_needed=True)


class PaymentRulesForm(forms.Form):
    deposit_paper = choice(
        _("For money paid before the invoice the customer gets"), DepositPaper.choices
    )
    deposit_paper.help_text = _(
        "Local law decides which: in some countries an advance needs an invoice with "
        "its tax. Ask your tax adviser."
    )
    cash_step_minor = choice(_("Cash is paid in steps of"), [])
    cash_step_minor.help_text = _(
        "Where small coins are gone. The payment is rounded, never the invoice; card "
        "and credit transfer are exact."
    )

    next_prepayment = forms.IntegerField(
        label=_("Next prepayment invoice number"),
        min_value=1,
        max_value=999_999_999,
        required=False,
        help_text=_(
            "Only until the first is issued: 7 is printed behind the year, P2026-0007."
        ),
    )

    def __init__(
        self, data: Any, *, rules: PaymentRules, next_prepayment: int | None
    ) -> None:
        start = {
            "deposit_paper": rules.deposit_paper,
            "cash_step_minor": str(rules.cash_step_minor),
            "next_prepayment": next_prepayment,
        }
        super().__init__(data, initial=start)
        if next_prepayment is None:
            del self.fields["next_prepayment"]
        field = self.fields["cash_step_minor"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(str(n), _step(n, rules.shop.currency)) for n in STEPS]

    def clean_cash_step_minor(self) -> int:
        return int(self.cleaned_data["cash_step_minor"])


def _step(minor: int, currency: str) -> str:
    amount = Decimal(minor).scaleb(-minor_digits(currency))
    return f"{figures(f'{amount:f}')} {currency}"
