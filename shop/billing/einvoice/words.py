"""Whether a paper is an e-invoice, in the owner's words."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.billing.einvoice.rules import Why

IT_IS_ONE: Promise = _("e-invoice")
WHY: Mapping[str, Promise] = {
    Why.BEFORE: _("No e-invoice: issued before we wrote any."),
    Why.CURRENCY: _("No e-invoice: e-invoices don’t know this currency."),
    Why.SELLER_COUNTRY: _("No e-invoice: the shop’s country was missing."),
    Why.SELLER_TAX_ID: _("No e-invoice: the shop’s tax id or VAT id was missing."),
    Why.BUYER_NAME: _("No e-invoice: the customer’s name was missing."),
    Why.BUYER_COUNTRY: _("No e-invoice: the customer’s country was missing."),
    Why.BUYER_VAT_ID: _("No e-invoice: the customer’s VAT id was missing or wrong."),
    Why.TAX_REASON: _("No e-invoice: the rates did not say why there is no tax."),
    Why.TAX_CATEGORY: _("No e-invoice: two kinds of tax don’t go together on it."),
    Why.LINES: _("No e-invoice: a line has no text, or a unit that isn’t known."),
    Why.SUMS: _("No e-invoice: its sums don’t add up by the rules of EN 16931."),
}


def said_of(plain_because: str) -> Promise:
    return WHY[plain_because] if plain_because else IT_IS_ONE
