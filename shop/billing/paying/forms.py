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

    def __init__(self, data: Any, *, rules: PaymentRules) -> None:
        start = {
            "deposit_paper": rules.deposit_paper,
            "cash_step_minor": str(rules.cash_step_minor),
        }
        super().__init__(data, initial=start)
        field = self.fields["cash_step_minor"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(str(n), _step(n, rules.shop.currency)) for n in STEPS]

    def clean_cash_step_minor(self) -> int:
        return int(self.cleaned_data["cash_step_minor"])


def _step(minor: int, currency: str) -> str:
    amount = Decimal(minor).scaleb(-minor_digits(currency))
    return f"{figures(f'{amount:f}')} {currency}"
