"""What a customer's own page asks beyond the counter: what their invoices need."""

from typing import Any

from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from shop.intake.fields import choice, text
from shop.intake.forms import CustomerForm, initial_of
from shop.intake.models import Customer, Taxed
from shop.people import ids

FOR_INVOICES = ("tax_id", "country", "taxed")
USUAL = "usual"
TWO_LETTERS = RegexValidator(r"^[A-Za-z]{2}$", _("Two letters, as in FR."))


class OwnPageForm(CustomerForm):
    tax_id = text(_("VAT id or tax id"), 40)
    country = text(_("Country, by its two letters"), 2)
    country.help_text = _("Empty: the shop’s own. An e-invoice names it.")
    country.validators = [TWO_LETTERS]
    taxed = choice(
        _("Tax on invoices"),
        [(USUAL, _("as usual")), *Taxed.choices],
        initial=USUAL,
    )

    def clean_country(self) -> str:
        typed: str = self.cleaned_data["country"]
        return typed.upper()

    def clean(self) -> dict[str, Any]:
        """A VAT id is right, and is there where the customer owes the tax."""
        typed = super().clean()
        vat_id = self._vat_id(typed.get("tax_id", ""), typed.get("country", ""))
        needs_one = typed.get("taxed") == Taxed.REVERSE_CHARGE
        if needs_one and not vat_id and "tax_id" not in self.errors:
            text = _("Reverse charge needs the customer’s VAT id.")
            self.add_error("tax_id", text)
        return typed

    def _vat_id(self, tax_id: str, country: str) -> str:
        try:
            return ids.vat_id_of(tax_id, country)
        except ids.WrongId:
            text = _("This VAT id is mistyped: its check digits don’t fit.")
            self.add_error("tax_id", text)
            return ""

    def who(self) -> dict[str, str]:
        typed = self.cleaned_data
        asked = {name: typed[name] for name in FOR_INVOICES}
        taxed = "" if asked["taxed"] == USUAL else asked["taxed"]
        return super().who() | asked | {"taxed": taxed}


def initial_of_page(customer: Customer) -> dict[str, Any]:
    asked = {name: getattr(customer, name) for name in FOR_INVOICES}
    return initial_of(customer) | asked | {"taxed": customer.taxed or USUAL}
