"""Sums that tie: the same figure found on two ways, side by side."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import F, Sum
from django.utils.translation import gettext as _

from shop.billing.models import Invoice, Payment
from shop.billing.shelf_models import LotDraw
from shop.books import deposits
from shop.books.advances import by_owner, held
from shop.books.balance import TrialBalance
from shop.books.bundle.numbers import Series
from shop.books.goods import WORTH
from shop.books.models import CashDay
from shop.books.periods import Period
from shop.books.posting.accounts import ADVANCES, REVENUE, TAX, Account
from shop.books.posting.owed import MONEY
from shop.books.queries import open_invoices
from shop.money import Money


@dataclass(frozen=True)
class Tie:
    """A figure of the journal, and the same one of the tables."""

    what: str
    journal: Money
    tables: Money

    @property
    def holds(self) -> bool:
        return self.journal == self.tables


def ties(period: Period, sums: TrialBalance) -> Iterator[Tie]:
    """In the shop's currency."""
    currency = period.shop.currency

    def tie(what: str, journal: int, tables: int) -> Tie:
        return Tie(
            what,
            Money.from_minor(journal, currency),
            Money.from_minor(tables, currency),
        )

    moved = sums.of(currency)
    yield tie(
        _("debit and credit of the journal"),
        sum(one.debit for one in moved.values()),
        sum(one.credit for one in moved.values()),
    )
    billed = -sum(
        one.balance
        for code, one in moved.items()
        if code.startswith((f"{REVENUE}.", f"{TAX}.", f"{ADVANCES}."))
    )
    yield tie(_("papers: revenue, advances and tax"), billed, _papers(period))
    yield tie(
        _("what is owed: at the start and moved, and at the end"),
        _owed(period, at_end=False) + sums.balance(currency, Account.RECEIVABLES),
        _owed(period, at_end=True),
    )
    start, end = _advances(period)
    of_advances = sum(
        one.balance
        for code, one in moved.items()
        if code == Account.PREPAYMENTS or code.startswith(f"{ADVANCES}.")
    )
    yield tie(
        _("advances: at the start and moved, and held at the end"),
        start - of_advances,
        end,
    )
    yield tie(
        _("payments by card and transfer"),
        sums.balance(currency, Account.CARDS) + _paid_into_bank(period, sums),
        _payments(period, ["card", "transfer"])
        + deposits.moved(period, ["card", "transfer"]),
    )
    yield tie(
        _("cash: moved, and at the day ends"),
        sums.balance(currency, Account.CASH),
        _cash(period),
    )
    yield tie(
        _("deposits for loan devices: taken, less those that ended"),
        -sums.balance(currency, Account.LOAN_DEPOSITS),
        deposits.held(period),
    )
    yield tie(
        _("stock: moved, and by its lots"),
        sums.balance(currency, Account.STOCK),
        _stock(period, at_end=True) - _stock(period, at_end=False),
    )


def _papers(period: Period) -> int:
    rows = Invoice.objects.filter(
        shop=period.shop,
        currency=period.shop.currency,
        issued_at__gte=period.start,
        issued_at__lt=period.end,
    )
    return rows.aggregate(sum=Sum("total_minor"))["sum"] or 0


def _owed(period: Period, *, at_end: bool) -> int:
    until = period.end if at_end else period.start
    return sum(one.owed for one in open_invoices(period.shop, until))


def _advances(period: Period) -> tuple[int, int]:
    """Held before the period and at its end, but for loan devices."""
    found = [
        one
        for owner, moves in by_owner(period)
        for one in moves
        if owner.currency == period.shop.currency
        and owner.account != Account.LOAN_DEPOSITS
    ]
    return held(found, period.start), held(found, period.end)


def _payments(period: Period, methods: list[str]) -> int:
    rows = Payment.objects.filter(
        shop=period.shop,
        currency=period.shop.currency,
        method__in=methods,
        at__gte=period.start,
        at__lt=period.end,
    )
    return rows.aggregate(sum=Sum("amount_minor"))["sum"] or 0


def _paid_into_bank(period: Period, sums: TrialBalance) -> int:
    """The bank without what went between it and the till."""
    moves = period.shop.cash_moves.filter(
        why__in=["from_bank", "to_bank"], at__gte=period.start, at__lt=period.end
    )
    carried = moves.aggregate(sum=Sum("amount_minor"))["sum"] or 0
    return sums.balance(period.shop.currency, MONEY["transfer"]) + carried


def _cash(period: Period) -> int:
    """Payments, moves and differences of cash in the period."""
    between = {"at__gte": period.start, "at__lt": period.end}
    moves = period.shop.cash_moves.filter(**between)
    days = CashDay.objects.filter(shop=period.shop, **between)
    difference = F("counted_minor") - F("expected_minor")
    return (
        _payments(period, ["cash"])
        + deposits.moved(period, ["cash"])
        + (moves.aggregate(sum=Sum("amount_minor"))["sum"] or 0)
        + (days.aggregate(sum=Sum(difference))["sum"] or 0)
    )


def _stock(period: Period, *, at_end: bool) -> int:
    """What the lots of the shelf were worth."""
    draws = LotDraw.objects.filter(
        lot__item__shop=period.shop,
        lot__item__currency=period.shop.currency,
        move__at__lt=period.end if at_end else period.start,
    )
    return draws.aggregate(sum=Sum(WORTH))["sum"] or 0


def series_of(period: Period) -> Iterator[Series]:
    """Each kind of paper that was issued in the period, with its gaps."""
    rows = Invoice.objects.filter(shop=period.shop)
    for kind in Invoice.Kind:
        of_kind = rows.filter(kind=kind).order_by("serial")
        serials = of_kind.filter(
            issued_at__gte=period.start, issued_at__lt=period.end
        ).values_list("serial", flat=True)
        first, last = serials.first(), serials.last()
        if first is None or last is None:
            continue
        before = of_kind.filter(serial__lt=first).values_list("serial", flat=True)
        series = Series(kind.value, before.last())
        between = of_kind.filter(serial__gte=first, serial__lte=last)
        series.passing(between.values_list("serial", flat=True).iterator(2000))
        yield series
