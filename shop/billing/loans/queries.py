"""Reads of loans: what is out with a ticket, and the deposits of a stretch of time."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from shop.billing.loan_models import Loan, LoanDevice, LoanReturn
from shop.billing.models import Payment
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop


@dataclass(frozen=True)
class DepositMove:
    """Money in the till that is the customer's: in (positive) or given back."""

    at: datetime
    amount: Money
    method: str
    loan: Loan
    by: Person

    @property
    def how(self) -> str:
        return str(Payment.Method(self.method).label)


def out_with(ticket: Ticket) -> list[Loan]:
    return list(ticket.loans.filter(back=None).select_related("device"))


def free_devices(shop: Shop) -> list[LoanDevice]:
    out = Loan.objects.filter(device__shop=shop, back=None).values("device")
    return list(shop.loan_devices.filter(ended_at=None).exclude(pk__in=out))


def taken(shop: Shop) -> QuerySet[Loan]:
    """Loans that a deposit was taken for."""
    return Loan.objects.filter(device__shop=shop, deposit_minor__gt=0)


def given_back(shop: Shop) -> QuerySet[LoanReturn]:
    """Returns at which something of a deposit was given back.

    What was kept of a deposit is no move: it stays where it is.
    """
    return LoanReturn.objects.filter(loan__device__shop=shop, deposit_back_minor__gt=0)


def moves_of(loans: QuerySet[Loan], returns: QuerySet[LoanReturn]) -> list[DepositMove]:
    """Deposits taken and given back, in the order of time."""
    moves = [
        DepositMove(one.given_at, one.deposit, one.deposit_method, one, one.given_by)
        for one in loans.select_related("ticket", "device", "given_by")
    ]
    related = ("loan__ticket", "loan__device", "by")
    for row in returns.select_related(*related):
        method = row.loan.deposit_method
        moves.append(DepositMove(row.at, -row.deposit_back, method, row.loan, row.by))
    return sorted(moves, key=lambda move: (move.at, move.loan.pk))


def deposit_moves(shop: Shop, start: datetime, end: datetime) -> list[DepositMove]:
    """Those from ``start`` until before ``end``."""
    return moves_of(
        taken(shop).filter(given_at__gte=start, given_at__lt=end),
        given_back(shop).filter(at__gte=start, at__lt=end),
    )
