"""What should lie in the till now: the last count and what came and went since.

Sums are the database's, of whole minor units; rows are read only to be listed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Generic, NamedTuple, TypeVar

from django.db.models import Count, QuerySet, Sum

from shop.billing.loan_models import Loan, LoanReturn
from shop.billing.loans import queries as deposits
from shop.billing.loans.queries import DepositMove
from shop.billing.models import Payment
from shop.books.models import CashDay, CashMove, DayPayment
from shop.money import Money
from shop.people.models import Shop

# Nothing changes hands: it lies in no till, and no day end counts it.
IN_NO_TILL = frozenset({Payment.Method.CREDIT})
SHOWN = 50
# A payment may be committed after others with later numbers, by so many at most.
TAIL = 10_000
Row = TypeVar("Row")


class Taken(NamedTuple):
    """What was paid in one way: minor units, and by how many payments."""

    minor: int
    many: int


@dataclass(frozen=True)
class Newest(Generic[Row]):
    """The newest rows, oldest first, of so many."""

    rows: Sequence[Row]
    many: int

    @property
    def is_cut(self) -> bool:
        return len(self.rows) < self.many


@dataclass(frozen=True)
class Rows:
    """All that one count takes in."""

    payments: QuerySet[Payment]
    moves: QuerySet[CashMove]
    loans: QuerySet[Loan]
    returns: QuerySet[LoanReturn]


@dataclass(frozen=True)
class Till:
    """Since the last count: payments by their kinds, cash without a ticket, deposits.

    A payment belongs to no count yet, whenever it was taken: one that is typed in
    late falls in the next.
    """

    serial: int
    carried: Money
    rows: Rows
    last: CashDay | None

    @cached_property
    def taken(self) -> Mapping[str, Taken]:
        """By the way in which it was paid; those of which there is none too."""
        methods = (how for how in Payment.Method if how not in IN_NO_TILL)
        found = {str(method): Taken(0, 0) for method in methods}
        sums = self.rows.payments.order_by().values_list("method")
        for how, minor, many in sums.annotate(Sum("amount_minor"), Count("pk")):
            found[how] = Taken(int(minor), many)
        return found

    @property
    def by_method(self) -> dict[str, Money]:
        return {how: self._money(one.minor) for how, one in self.taken.items()}

    @property
    def cash_paid(self) -> Money:
        return self._money(self.taken[Payment.Method.CASH].minor)

    @cached_property
    def moved(self) -> Money:
        return self._money(_sum(self.rows.moves, "amount_minor"))

    @cached_property
    def deposited(self) -> Money:
        """Cash that customers left for loan devices, less what they got back."""
        came = self.rows.loans.filter(deposit_method=Payment.Method.CASH)
        went = self.rows.returns.filter(loan__deposit_method=Payment.Method.CASH)
        minor = _sum(came, "deposit_minor") - _sum(went, "deposit_back_minor")
        return self._money(minor)

    @property
    def expected(self) -> Money:
        return self.carried + self.cash_paid + self.moved + self.deposited

    @property
    def payments(self) -> QuerySet[Payment]:
        """All of them, with what a line says."""
        return _as_lines(self.rows.payments).order_by("pk")

    @property
    def is_paid(self) -> bool:
        """Whether there is any payment."""
        return any(one.many for one in self.taken.values())

    @property
    def moves(self) -> QuerySet[CashMove]:
        return self.rows.moves.select_related("by").order_by("pk")

    @property
    def deposits(self) -> list[DepositMove]:
        return deposits.moves_of(self.rows.loans, self.rows.returns)

    def newest_payments(self, how: str) -> Newest[Payment]:
        """No more are looked for than there are."""
        many = self.taken[how].many
        rows = _as_lines(self.rows.payments.filter(method=how)).order_by("-pk")
        return Newest(list(reversed(rows[: min(many, SHOWN)])), many)

    @cached_property
    def newest_moves(self) -> Newest[CashMove]:
        rows = list(self.moves.order_by("-pk")[:SHOWN])
        return Newest(rows[::-1], self._many(rows, self.rows.moves))

    @cached_property
    def newest_deposits(self) -> Newest[DepositMove]:
        loans, returns = self.rows.loans, self.rows.returns
        rows = deposits.moves_of(
            loans.order_by("-given_at", "-pk")[:SHOWN],
            returns.order_by("-at", "-pk")[:SHOWN],
        )
        return Newest(rows[-SHOWN:], self._many(rows, loans, returns))

    def _money(self, minor: int) -> Money:
        return Money.from_minor(minor, self.carried.currency)

    def _many(self, shown: Sequence[object], *rows: QuerySet[Any]) -> int:
        is_all = len(shown) < SHOWN
        return len(shown) if is_all else sum(one.count() for one in rows)


def _as_lines(payments: QuerySet[Payment]) -> QuerySet[Payment]:
    """With what a line of a list says, and no more."""
    said = ("at", "currency", "method", "amount_minor")
    of_others = ("ticket__number", "invoice__number", "by__name")
    rows = payments.select_related("ticket", "invoice", "by")
    return rows.only(*said, *of_others)


def _sum(rows: QuerySet[Any], column: str) -> int:
    return int(rows.aggregate(sum=Sum(column))["sum"] or 0)


def now(shop: Shop) -> Till:
    last = shop.cash_days.select_related("by").order_by("serial").last()
    rows = Rows(
        payments=_not_counted(shop),
        moves=CashMove.objects.filter(shop=shop, cash_day=None),
        loans=deposits.taken(shop)
        .filter(currency=shop.currency, cash_day=None)
        .exclude(deposit_method__in=IN_NO_TILL),
        returns=deposits.given_back(shop)
        .filter(currency=shop.currency, cash_day=None)
        .exclude(loan__deposit_method__in=IN_NO_TILL),
    )
    return Till(
        serial=last.serial if last else 0,
        carried=last.counted if last else Money.of(0, shop.currency),
        rows=rows,
        last=last,
    )


def _not_counted(shop: Shop) -> QuerySet[Payment]:
    """A count takes in all there are: what it may have missed has a number near."""
    rows = Payment.objects.filter(shop=shop, currency=shop.currency)
    rows = rows.exclude(method__in=IN_NO_TILL)
    of_shop = {"day__shop": shop, "day__currency": shop.currency}
    counted = DayPayment.objects.filter(**of_shop).order_by("-payment_id")
    newest = counted.values_list("payment_id", flat=True).first()
    if newest is None:
        return rows
    return rows.filter(cash_day=None, pk__gt=newest - TAIL)


def of_day(day: CashDay) -> Till:
    """The same as it was when that day ended."""
    return Till(
        serial=day.serial - 1,
        carried=day.carried,
        rows=Rows(
            payments=Payment.objects.filter(cash_day__day=day),
            moves=CashMove.objects.filter(cash_day__day=day),
            loans=Loan.objects.filter(cash_day__day=day),
            returns=LoanReturn.objects.filter(cash_day__day=day),
        ),
        last=None,
    )
