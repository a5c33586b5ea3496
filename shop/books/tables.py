"""The tables that an accountant is given: rows of cells, read piece by piece.

Amounts are decimals with a point, days are ISO 8601, texts are defused when they are
written (``shop/records/cells.py``).
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _

from shop.billing.models import Invoice, Payment
from shop.books.balance import TrialBalance
from shop.books.dated import PIECE, mark_of
from shop.books.models import CashDay, CashMove
from shop.books.naming import Accounts, kind_name
from shop.books.periods import Period
from shop.books.posting.entries import Entry
from shop.books.queries import open_invoices
from shop.money import Money

Cells = Sequence[object]


def amount(minor: int, currency: str) -> Decimal:
    return Money.from_minor(minor, currency).amount


def moment(at: datetime, period: Period) -> str:
    return at.astimezone(period.shop.zone).isoformat(timespec="seconds")


def journal(entries: Iterable[Entry], accounts: Accounts) -> Iterator[Cells]:
    """One row a line; an entry's lines stand together and come to nothing."""
    yield (
        _("entry"),
        _("day"),
        _("kind"),
        _("document"),
        _("account"),
        _("account name"),
        _("debit"),
        _("credit"),
        _("currency"),
    )
    for number, entry in enumerate(entries, 1):
        for line in entry.lines:
            debit = amount(max(line.minor, 0), entry.currency)
            credit = amount(max(-line.minor, 0), entry.currency)
            yield (
                number,
                entry.day,
                kind_name(entry.kind),
                entry.paper,
                accounts.number(line.account),
                accounts.name(line.account),
                debit,
                credit,
                entry.currency,
            )


def balances(sums: TrialBalance, accounts: Accounts) -> Iterator[Cells]:
    yield _("account"), _("account name"), _("debit"), _("credit"), _("currency")
    for currency in sorted({currency for currency, _code in sums.moved}):
        moved = sums.of(currency)
        for code in accounts.in_order(moved):
            debit = amount(moved[code].debit, currency)
            credit = amount(moved[code].credit, currency)
            yield accounts.number(code), accounts.name(code), debit, credit, currency


def papers_of(period: Period) -> Iterator[Invoice]:
    """In the order of their series and numbers."""
    rows = Invoice.objects.filter(
        shop=period.shop, issued_at__gte=period.start, issued_at__lt=period.end
    )
    related = rows.select_related("shop", "ticket", "corrects")
    return related.order_by("kind", "serial").iterator(PIECE)


def papers(period: Period) -> Iterator[Cells]:
    yield (
        _("kind"),
        _("number"),
        _("issued"),
        _("customer"),
        _("ticket"),
        _("corrects"),
        _("net"),
        _("tax"),
        _("total"),
        _("paid beforehand"),
        _("due on"),
        _("currency"),
    )
    for row in papers_of(period):
        sums = (row.net_minor, row.tax_minor, row.total_minor, row.prepaid_minor)
        yield (
            row.get_kind_display(),
            row.number,
            moment(row.issued_at, period),
            row.buyer.get("name", ""),
            row.texts.get("ticket", ""),
            row.corrects.number if row.corrects else "",
            *(amount(one, row.currency) for one in sums),
            row.due_on,
            row.currency,
        )


def payments(period: Period) -> Iterator[Cells]:
    yield (
        _("mark"),
        _("at"),
        _("amount"),
        _("currency"),
        _("how"),
        _("reference"),
        _("ticket"),
        _("invoice"),
        _("day end"),
        _("by"),
    )
    rows = Payment.objects.filter(
        shop=period.shop, at__gte=period.start, at__lt=period.end
    ).select_related("ticket", "invoice", "by", "cash_day__day")
    for row in rows.order_by("at", "pk").iterator(PIECE):
        day = getattr(row, "cash_day", None)
        yield (
            mark_of("P", row.pk),
            moment(row.at, period),
            amount(row.amount_minor, row.currency),
            row.currency,
            row.get_method_display(),
            row.reference,
            row.ticket.number if row.ticket else "",
            row.invoice.number if row.invoice else "",
            day.day.serial if day else "",
            row.by.name,
        )


def cash_days(period: Period) -> Iterator[Cells]:
    yield (
        _("day end"),
        _("at"),
        _("carried"),
        _("expected"),
        _("counted"),
        _("difference"),
        _("reason"),
        _("signed by"),
        _("currency"),
    )
    rows = CashDay.objects.filter(
        shop=period.shop, at__gte=period.start, at__lt=period.end
    )
    for row in rows.select_related("by"):
        sums = row.carried_minor, row.expected_minor, row.counted_minor
        yield (
            row.serial,
            moment(row.at, period),
            *(amount(one, row.currency) for one in (*sums, row.difference_minor)),
            row.reason,
            row.by.name,
            row.currency,
        )


def cash_moves(period: Period) -> Iterator[Cells]:
    yield _("mark"), _("at"), _("why"), _("amount"), _("said"), _("by"), _("currency")
    rows = CashMove.objects.filter(
        shop=period.shop, at__gte=period.start, at__lt=period.end
    )
    for row in rows.select_related("by"):
        yield (
            mark_of("M", row.pk),
            moment(row.at, period),
            row.get_why_display(),
            amount(row.amount_minor, row.currency),
            row.said,
            row.by.name,
            row.currency,
        )


def owed(period: Period) -> Iterator[Cells]:
    """Invoices that were open at the end of the period."""
    yield _("number"), _("customer"), _("due on"), _("owed"), _("currency")
    currency = period.shop.currency
    for one in open_invoices(period.shop, period.end):
        yield one.number, one.buyer, one.due_on, amount(one.owed, currency), currency


def account_names(codes: Iterable[str], accounts: Accounts) -> Iterator[Cells]:
    yield _("account"), _("account name"), _("our code")
    for code in accounts.in_order(codes):
        yield accounts.number(code), accounts.name(code), code
