"""What should lie in the till now: the last count and what came and went since."""

from dataclasses import dataclass
from functools import cached_property

from django.db.models import QuerySet

from shop.billing.loan_models import Loan, LoanReturn
from shop.billing.loans import queries as deposits
from shop.billing.loans.queries import DepositMove
from shop.billing.models import Payment
from shop.books.models import CashDay, CashMove
from shop.money import Money, total
from shop.people.models import Shop

# Nothing changes hands: it lies in no till, and no day end counts it.
IN_NO_TILL = frozenset({Payment.Method.CREDIT})


@dataclass(frozen=True)
class Till:
    """Since the last count: payments by their kinds, cash without a ticket, deposits.

    A payment belongs to no count yet, whenever it was taken: one that is typed in
    late falls in the next.
    """

    serial: int
    carried: Money
    payments: tuple[Payment, ...]
    moves: tuple[CashMove, ...]
    deposits: tuple[DepositMove, ...]
    last: CashDay | None

    @cached_property
    def by_method(self) -> dict[str, Money]:
        methods = (how for how in Payment.Method if how not in IN_NO_TILL)
        sums = dict.fromkeys((str(method) for method in methods), 0)
        for payment in self.payments:
            sums[payment.method] = sums.get(payment.method, 0) + payment.amount_minor
        currency = self.carried.currency
        return {how: Money.from_minor(minor, currency) for how, minor in sums.items()}

    @property
    def cash_paid(self) -> Money:
        return self.by_method[Payment.Method.CASH]

    @property
    def moved(self) -> Money:
        minor = sum(move.amount_minor for move in self.moves)
        return Money.from_minor(minor, self.carried.currency)

    @property
    def expected(self) -> Money:
        return self.carried + self.cash_paid + self.moved + self.deposited

    @property
    def deposited(self) -> Money:
        """Cash that customers left for loan devices, less what they got back."""
        cash = [one.amount for one in self.deposits if one.method == "cash"]
        return total(cash, self.carried.currency)

    @property
    def payment_ids(self) -> list[int]:
        return [payment.pk for payment in self.payments]

    @property
    def move_ids(self) -> list[int]:
        return [move.pk for move in self.moves]


def now(shop: Shop) -> Till:
    last = shop.cash_days.order_by("serial").last()
    rows = Payment.objects.filter(shop=shop, currency=shop.currency, cash_day=None)
    payments = rows.exclude(method__in=IN_NO_TILL).select_related(
        "ticket", "invoice", "by"
    )
    moves = CashMove.objects.filter(shop=shop, cash_day=None).select_related("by")
    return Till(
        serial=last.serial if last else 0,
        carried=last.counted if last else Money.of(0, shop.currency),
        payments=tuple(payments.order_by("id")),
        moves=tuple(moves.order_by("id")),
        deposits=tuple(deposits.moves_of(*deposits_open(shop))),
        last=last,
    )


def deposits_open(shop: Shop) -> tuple[QuerySet[Loan], QuerySet[LoanReturn]]:
    """Deposits taken and given back that no count has taken in."""
    of_shop = {"currency": shop.currency, "cash_day": None}
    return (
        deposits.taken(shop).filter(**of_shop).exclude(deposit_method__in=IN_NO_TILL),
        deposits.given_back(shop)
        .filter(**of_shop)
        .exclude(loan__deposit_method__in=IN_NO_TILL),
    )


def of_day(day: CashDay) -> Till:
    """The same as it was when that day ended."""
    payments = Payment.objects.filter(cash_day__day=day).select_related(
        "ticket", "invoice", "by"
    )
    moves = CashMove.objects.filter(cash_day__day=day).select_related("by")
    return Till(
        serial=day.serial - 1,
        carried=day.carried,
        payments=tuple(payments.order_by("id")),
        moves=tuple(moves.order_by("id")),
        deposits=tuple(
            deposits.moves_of(
                Loan.objects.filter(cash_day__day=day),
                LoanReturn.objects.filter(cash_day__day=day),
            )
        ),
        last=None,
    )
