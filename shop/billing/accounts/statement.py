"""What a customer owes over a period: invoices, credit notes, payments. Reads only.

The balance is everything billed less everything paid; an advance is on the customer's
side until its invoice comes. So each statement opens where the one before it closed.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import TypeVar

from django.db.models import QuerySet, Sum
from django.db.models.expressions import Combinable

from shop.billing import owing
from shop.billing.models import Invoice, Payment
from shop.billing.services.checks import shop_day
from shop.intake.models import Customer
from shop.money import Money, total
from shop.people.models import Shop

Row = TypeVar("Row", Invoice, Payment)


class What(StrEnum):
    INVOICE = "invoice"
    CREDIT_NOTE = "credit_note"
    PAYMENT = "payment"


@dataclass(frozen=True)
class Entry:
    """``amount`` is owed, or negative where it is taken off; ``balance`` is after it.

    ``how`` is a payment's method, negative payments are money given back.
    """

    at: datetime
    day: date
    what: What
    number: str
    amount: Money
    balance: Money
    how: str = ""


@dataclass(frozen=True)
class Open:
    """An invoice with money due at the end of the period."""

    invoice: Invoice
    due: Money
    days_late: int


@dataclass(frozen=True)
class Statement:
    customer: Customer
    first: date
    last: date
    opening: Money
    entries: tuple[Entry, ...]
    closing: Money
    open_ones: tuple[Open, ...]

    def sum_of(self, what: What) -> Money:
        amounts = [entry.amount for entry in self.entries if entry.what == what]
        return total(amounts, self.opening.currency)

    @property
    def invoiced(self) -> Money:
        return self.sum_of(What.INVOICE)

    @property
    def credited(self) -> Money:
        return self.sum_of(What.CREDIT_NOTE)

    @property
    def paid(self) -> Money:
        return self.sum_of(What.PAYMENT)


def statement_of(customer: Customer, first: date, last: date) -> Statement:
    """From the first moment of ``first`` to the last one of ``last``, shop's clock."""
    shop = customer.shop
    begin, end = _moment(shop, first), _moment(shop, last + timedelta(days=1))
    opening = balance_at(customer, begin)
    entries: list[Entry] = []
    balance = opening
    for row in _rows(customer, begin, end):
        entry = _entry(row, shop, balance)
        balance = entry.balance
        entries.append(entry)
    return Statement(
        customer=customer,
        first=first,
        last=last,
        opening=opening,
        entries=tuple(entries),
        closing=balance,
        open_ones=tuple(open_at(customer, end)),
    )


def balance_at(customer: Customer, moment: datetime) -> Money:
    """All that was billed before a moment, less all that was paid before it."""
    billed = papers_of(customer).filter(issued_at__lt=moment)
    paid = payments_of(customer).filter(at__lt=moment)
    minor = _sum(billed, "total_minor") - _sum(paid, owing.SETTLED)
    return Money.from_minor(minor, customer.shop.currency)


def open_at(customer: Customer, moment: datetime) -> Iterable[Open]:
    """Invoices with something due, the oldest first."""
    today = shop_day(customer.shop, moment - timedelta(seconds=1))
    rows = papers_of(customer).filter(issued_at__lt=moment, corrects=None)
    for invoice in rows.order_by("issued_at", "id"):
        due = due_of(invoice, moment)
        if due.amount > 0:
            yield Open(invoice, due, max(0, (today - invoice.due_on).days))


def due_of(invoice: Invoice, moment: datetime) -> Money:
    """What an invoice leaves to pay after its advances, payments and credit notes."""
    paid = _sum(invoice.payments.filter(at__lt=moment), owing.SETTLED)
    back = _sum(invoice.credit_notes.filter(issued_at__lt=moment), "total_minor")
    minor = invoice.total_minor - invoice.prepaid_minor - paid + back
    return Money.from_minor(minor, invoice.currency)


def papers_of(customer: Customer) -> QuerySet[Invoice]:
    """Invoices and credit notes of this customer, monthly or of a ticket."""
    return _either(Invoice, customer, monthly="account__customer")


def payments_of(customer: Customer) -> QuerySet[Payment]:
    return _either(Payment, customer, monthly="invoice__account__customer")


def _either(model: type[Row], customer: Customer, monthly: str) -> QuerySet[Row]:
    """Each way by its index: asked for both with an OR, all rows of years are read."""
    rows, ids = model._default_manager.order_by(), _ids(customer)
    of_tickets = rows.filter(ticket__customer__in=ids).values("pk")
    of_months = rows.filter(**{f"{monthly}__in": ids}).values("pk")
    own = model._default_manager.filter(pk__in=of_tickets.union(of_months))
    return own.filter(shop=customer.shop, currency=customer.shop.currency)


def _ids(customer: Customer) -> list[int]:
    """The customer and the rows that were joined to it."""
    return [customer.pk, *customer.joined.values_list("pk", flat=True)]


def _rows(
    customer: Customer, begin: datetime, end: datetime
) -> list[Invoice | Payment]:
    papers = papers_of(customer).filter(issued_at__gte=begin, issued_at__lt=end)
    payments = payments_of(customer).filter(at__gte=begin, at__lt=end)
    rows: list[Invoice | Payment] = [*papers, *payments.select_related("invoice")]
    return sorted(rows, key=_order)


def _order(row: Invoice | Payment) -> tuple[datetime, bool, int]:
    return _at(row), isinstance(row, Payment), row.pk


def _at(row: Invoice | Payment) -> datetime:
    return row.issued_at if isinstance(row, Invoice) else row.at


def _entry(row: Invoice | Payment, shop: Shop, before: Money) -> Entry:
    at = _at(row)
    if isinstance(row, Invoice):
        what = What.INVOICE if row.corrects_id is None else What.CREDIT_NOTE
        amount, number, how = row.total, row.number, ""
    else:
        what, amount, how = What.PAYMENT, row.rounding - row.amount, row.method
        number = row.invoice.number if row.invoice else str(row.ticket or "")
    return Entry(at, shop_day(shop, at), what, number, amount, before + amount, how)


def _sum(rows: QuerySet[Invoice] | QuerySet[Payment], column: str | Combinable) -> int:
    found = rows.order_by().aggregate(sum=Sum(column))["sum"]
    return int(found or 0)


def _moment(shop: Shop, day: date) -> datetime:
    return datetime.combine(day, time(), shop.zone)
