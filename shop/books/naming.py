"""What accounts and kinds of entries are called, in the reader's language."""

from collections.abc import Iterable, Mapping
from datetime import date

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.billing.models import Invoice, InvoiceTax
from shop.books.models import AccountName
from shop.books.posting.accounts import (
    ADVANCES,
    NUMBERS,
    REVENUE,
    TAX,
    Account,
    Rate,
    advances,
    number_at_first,
    revenue,
    tax,
)
from shop.people.models import Shop

Text = str | Promise
NAMES: Mapping[str, Text] = {
    Account.CASH: gettext_lazy("Cash in hand"),
    Account.BANK: gettext_lazy("Bank"),
    Account.CARDS: gettext_lazy("Cards, on their way to the bank"),
    Account.RECEIVABLES: gettext_lazy("Receivables"),
    Account.STOCK: gettext_lazy("Stock of parts"),
    Account.PREPAYMENTS: gettext_lazy("Prepayments received"),
    Account.CREDIT: gettext_lazy("Customers’ credit, moved between tickets"),
    Account.LOAN_DEPOSITS: gettext_lazy("Deposits for loan devices"),
    Account.DEPOSITS_KEPT: gettext_lazy("Kept of deposits, for damage"),
    Account.SUPPLIERS: gettext_lazy("Suppliers"),
    Account.OWNER: gettext_lazy("Owner, put in and taken out"),
    Account.CASH_DIFFERENCES: gettext_lazy("Cash differences"),
    Account.ROUNDING: gettext_lazy("Rounding of cash"),
    Account.PARTS_COST: gettext_lazy("Cost of parts"),
    Account.STOCK_DIFFERENCES: gettext_lazy("Stock differences"),
    Account.EXPENSES: gettext_lazy("Small purchases"),
}
KINDS: Mapping[str, Text] = {
    "invoice": gettext_lazy("invoice"),
    "prepayment": gettext_lazy("prepayment invoice"),
    "credit_note": gettext_lazy("credit note"),
    "payment": gettext_lazy("payment"),
    "refund": gettext_lazy("refund"),
    "loan_deposit": gettext_lazy("deposit for a loan device"),
    "loan_back": gettext_lazy("loan device back"),
    "cash_move": gettext_lazy("cash without ticket"),
    "cash_day": gettext_lazy("till counted"),
    "stock_move": gettext_lazy("stock"),
    "claim_end": gettext_lazy("claim not made good"),
    "part_use": gettext_lazy("part bought for a ticket"),
}


def kind_name(kind: str) -> str:
    return str(KINDS.get(kind, kind))


def name_at_first(code: str) -> str:
    """The name of an account until the owner gives it another."""
    if code in NAMES:
        return str(NAMES[code])
    kind, _dot, detail = code.partition(".")
    if kind == REVENUE:
        return _("Revenue, tax %(rate)s") % {"rate": _rate_name(detail)}
    if kind == TAX:
        return _("Tax payable, %(rate)s") % {"rate": _rate_name(detail)}
    if kind == ADVANCES:
        return _("Advances billed, tax %(rate)s") % {"rate": _rate_name(detail)}
    return _("Money by %(how)s") % {"how": detail}


def _rate_name(code: str) -> str:
    """A standard rate in per cent; others by their category (EN 16931).

    >>> _rate_name("S5.5"), _rate_name("AE0")
    ('5.5\N{NO-BREAK SPACE}%', 'AE')
    """
    if code.startswith("S"):
        return f"{code[1:]}\N{NO-BREAK SPACE}%"
    return code.rstrip("0123456789.")


class Accounts:
    """The numbers and names that hold on a day."""

    def __init__(self, shop: Shop, day: date) -> None:
        rows = AccountName.objects.filter(shop=shop, since__lte=day).order_by(
            "since", "id"
        )
        self.named = {row.code: (row.number, row.name) for row in rows}

    def number(self, code: str) -> str:
        return self.named[code][0] if code in self.named else number_at_first(code)

    def name(self, code: str) -> str:
        return self.named[code][1] if code in self.named else name_at_first(code)

    def in_order(self, codes: Iterable[str]) -> list[str]:
        return sorted(codes, key=lambda code: (self.number(code), code))


def codes_of(shop: Shop) -> list[str]:
    """Every account that the shop has: the fixed ones, and those of its tax rates."""
    rows = InvoiceTax.objects.filter(invoice__shop=shop).order_by()
    columns = ("category", "basis_points")
    rates = {Rate(*one) for one in rows.values_list(*columns).distinct()}
    of_advances = rows.filter(invoice__kind=Invoice.Kind.PREPAYMENT)
    billed = {Rate(*one) for one in of_advances.values_list(*columns).distinct()}
    terms = shop.terms.order_by("-valid_from").first()
    if terms:
        rates.add(_rate_of(terms.tax_basis_points, terms.untaxed_as))
    of_kinds = ((revenue, rates), (tax, rates), (advances, billed))
    return [*NUMBERS, *(one(rate) for one, own in of_kinds for rate in _in_order(own))]


def _in_order(rates: Iterable[Rate]) -> list[Rate]:
    return sorted(rates, key=lambda rate: (rate.category, rate.basis_points))


def _rate_of(points: int, untaxed_as: str) -> Rate:
    return Rate("S" if points else untaxed_as, points)
