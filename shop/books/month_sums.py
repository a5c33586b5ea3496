"""The journal's sums of whole months, kept in the database and added up.

A row of the books is only ever added, and its entry hangs on what its own job had
before it: so a month that is over is summed once, and stays until a row comes that
lies in it or before it. The job sums what is missing; a page never waits for years.
"""

from calendar import monthrange
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.core.cache import cache as shared
from django.db.models import Max, Min, Model
from django.utils import timezone

from shop.billing.loan_models import Loan, LoanReturn
from shop.billing.models import Invoice, PartUse, Payment, StockMove
from shop.billing.shelf_models import ClaimEnd
from shop.books.balance import TrialBalance, trial_balance
from shop.books.dated import day_of
from shop.books.journal import entries
from shop.books.models import CashDay, CashMove
from shop.books.periods import DAY, Period
from shop.people.models import Shop
from shop.records import jobs

# Every table that an entry is of, and the moment of its rows.
SOURCES: tuple[tuple[type[Model], str], ...] = (
    (Invoice, "issued_at"),
    (Payment, "at"),
    (CashMove, "at"),
    (CashDay, "at"),
    (StockMove, "at"),
    (PartUse, "at"),
    (ClaimEnd, "at"),
    (Loan, "given_at"),
    (LoanReturn, "at"),
)
# Papers and payments that are summed while somebody waits: 10,000 take 3 s.
MOST = 10_000
# What was begun within a month has long ended when it is summed.
LATEST = timedelta(hours=6)
AT_ONCE = 6  # months: half a minute in a big shop
EVERY = 300.0  # seconds
Month = tuple[int, int]
Keys = tuple[int, ...]
Sums = tuple[Mapping[tuple[str, str], tuple[int, int]], Mapping[str, int]]
Months = dict[Month, Sums]


def sums_of(period: Period) -> TrialBalance | None:
    """The same as of its entries; ``None`` where that takes longer than a page may."""
    known, rest = _parted(period, _kept(period.shop))
    if sum(map(_rows_in, rest)) > MOST:
        return None
    parts = (_plain(trial_balance(entries(part))) for part in rest)
    return _together([*known, *parts])


def job() -> None:
    for shop in Shop.objects.all():
        months_sum(shop, timezone.now())


def months_sum(shop: Shop, now: datetime, most: int = AT_ONCE) -> int:
    """Some of the months that are over and missing; how many. Safe to kill."""
    newest, months = _newest(), _kept(shop)
    count = 0
    for period in _whole_months(shop, now - LATEST):
        month = (period.first.year, period.first.month)
        if month in months:
            continue
        if count == most or not jobs.may_go_on():
            break
        months[month] = _plain(trial_balance(entries(period)))
        count += 1
        shared.set(_name(shop), (newest, months), timeout=None)
    return count


def _name(shop: Shop) -> str:
    return f"books-months-{shop.pk}"


def _newest() -> Keys:
    """The newest key of each source."""
    rows = (model._default_manager for model, _at in SOURCES)
    return tuple(one.aggregate(newest=Max("pk"))["newest"] or 0 for one in rows)


def _kept(shop: Shop) -> Months:
    """Without the months that a row which came since lies in or before."""
    none: tuple[Keys, Months] = (), {}
    newest, months = shared.get(_name(shop)) or none
    came = _earliest(newest) if months else None
    if came is None:
        return dict(months)
    day = day_of(came, shop)
    return {month: sums for month, sums in months.items() if month < _month_of(day)}


def _earliest(since: Iterable[int]) -> datetime | None:
    """The moment of the earliest row with a key above these."""
    found = (
        model._default_manager.filter(pk__gt=key).aggregate(at=Min(at))["at"]
        for key, (model, at) in zip(since, SOURCES, strict=True)
    )
    return min((at for at in found if at), default=None)


def _month_of(day: date) -> Month:
    return day.year, day.month


def _whole_months(shop: Shop, until: datetime) -> Iterator[Period]:
    """From the first row on, those that had ended by then."""
    begun = _earliest([0] * len(SOURCES))
    if begun is None:
        return
    first = day_of(begun, shop).replace(day=1)
    while (period := Period(shop, first, _last_of(first))).end <= until:
        yield period
        first = period.last + DAY


def _last_of(day: date) -> date:
    return day.replace(day=monthrange(day.year, day.month)[1])


def _parted(period: Period, months: Months) -> tuple[list[Sums], list[Period]]:
    """What is kept of a period, and the stretches between."""
    known: list[Sums] = []
    rest: list[Period] = []
    first = period.first
    while first <= period.last:
        last = min(_last_of(first), period.last)
        is_whole = first.day == 1 and last == _last_of(first)
        sums = months.get(_month_of(first)) if is_whole else None
        if sums is not None:
            known.append(sums)
        elif rest and rest[-1].last + DAY == first:
            rest[-1] = Period(period.shop, rest[-1].first, last)
        else:
            rest.append(Period(period.shop, first, last))
        first = last + DAY
    return known, rest


def _rows_in(period: Period) -> int:
    def count(rows: Any, at: str) -> int:
        between = {f"{at}__gte": period.start, f"{at}__lt": period.end}
        return int(rows.filter(shop=period.shop, **between).count())

    return count(Invoice.objects, "issued_at") + count(Payment.objects, "at")


def _plain(sums: TrialBalance) -> Sums:
    moved = {key: (one.debit, one.credit) for key, one in sums.moved.items()}
    return moved, dict(sums.counts)


def _together(parts: Iterable[Sums]) -> TrialBalance:
    sums = TrialBalance()
    for moved, counts in parts:
        for key, (debit, credit) in moved.items():
            sums.moved[key].debit += debit
            sums.moved[key].credit += credit
        for kind, count in counts.items():
            sums.counts[kind] += count
    return sums
