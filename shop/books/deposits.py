"""Deposits for loan devices in the journal: a liability until the device is back."""

from collections.abc import Iterator

from django.db.models import Q, QuerySet, Sum

from shop.billing.loan_models import Loan, LoanReturn
from shop.books.dated import Dated, day_of, mark_of, rows_in
from shop.books.models import DayDeposit
from shop.books.periods import Period
from shop.books.posting import others
from shop.people.models import Shop


def loans_of(shop: Shop) -> QuerySet[Loan]:
    """With a deposit, but for those counted before tills knew of deposits."""
    before = DayDeposit.objects.filter(day=None, loan__isnull=False)
    rows = Loan.objects.filter(device__shop=shop, deposit_minor__gt=0)
    return rows.exclude(pk__in=before.values("loan"))


def returns_of(shop: Shop) -> QuerySet[LoanReturn]:
    """The same of the returns."""
    before = DayDeposit.objects.filter(day=None, back__isnull=False)
    rows = LoanReturn.objects.filter(loan__device__shop=shop, loan__deposit_minor__gt=0)
    return rows.exclude(pk__in=before.values("back"))


def of_loans(period: Period) -> Iterator[Dated]:
    for row in rows_in(loans_of(period.shop), period, "given_at"):
        day, mark = day_of(row.given_at, period.shop), mark_of("H", row.pk)
        entry = others.deposit_taken(
            day, mark, row.currency, row.deposit_method, row.deposit_minor
        )
        yield row.given_at, 6, row.pk, entry


def of_returns(period: Period) -> Iterator[Dated]:
    known = set(loans_of(period.shop).values_list("pk", flat=True))
    for row in rows_in(returns_of(period.shop).select_related("loan"), period):
        day, mark = day_of(row.at, period.shop), mark_of("R", row.pk)
        entry = others.deposit_ended(
            day,
            mark,
            row.currency,
            row.loan.deposit_method,
            taken=row.loan.deposit_minor if row.loan_id in known else None,
            back=row.deposit_back_minor,
        )
        yield row.at, 7, row.pk, entry


def moved(period: Period, methods: list[str]) -> int:
    """What deposits brought and took by these ways of paying, in the shop's money."""
    currency = Q(currency=period.shop.currency)
    came = loans_of(period.shop).filter(
        currency,
        deposit_method__in=methods,
        given_at__gte=period.start,
        given_at__lt=period.end,
    )
    went = returns_of(period.shop).filter(
        currency,
        loan__deposit_method__in=methods,
        at__gte=period.start,
        at__lt=period.end,
    )
    taken = came.aggregate(sum=Sum("deposit_minor"))["sum"] or 0
    return int(taken) - int(went.aggregate(sum=Sum("deposit_back_minor"))["sum"] or 0)


def held(period: Period) -> int:
    """What was taken in the period, less the deposits of devices that came back."""
    of_shop = {"currency": period.shop.currency}
    came = loans_of(period.shop).filter(
        given_at__gte=period.start, given_at__lt=period.end, **of_shop
    )
    ended = returns_of(period.shop).filter(
        loan__in=loans_of(period.shop).values("pk"),
        at__gte=period.start,
        at__lt=period.end,
        **of_shop,
    )
    taken = came.aggregate(sum=Sum("deposit_minor"))["sum"] or 0
    return int(taken) - int(ended.aggregate(sum=Sum("loan__deposit_minor"))["sum"] or 0)
