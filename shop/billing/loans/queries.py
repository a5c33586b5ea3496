"""Reads of loans: what is out with a ticket, and the deposits of a stretch of time."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from shop.billing.loan_models import Loan, LoanDevice, LoanReturn
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Shop


@dataclass(frozen=True)
class DepositMove:
    """Money in the till that is the customer's: in (positive) or given back."""

    at: datetime
    amount: Money
    method: str
    loan: Loan


def out_with(ticket: Ticket) -> list[Loan]:
    return list(ticket.loans.filter(back=None).select_related("device"))


def free_devices(shop: Shop) -> list[LoanDevice]:
    out = Loan.objects.filter(device__shop=shop, back=None).values("device")
    return list(shop.loan_devices.filter(ended_at=None).exclude(pk__in=out))


def deposit_moves(shop: Shop, start: datetime, end: datetime) -> Iterator[DepositMove]:
    """Deposits taken and given back from ``start`` until before ``end``, for the till.

    What was kept of a deposit is no move: it stays where it is.
    """
    within = {"device__shop": shop, "given_at__gte": start, "given_at__lt": end}
    for loan in Loan.objects.filter(**within, deposit_minor__gt=0):
        yield DepositMove(loan.given_at, loan.deposit, loan.deposit_method, loan)
    back = LoanReturn.objects.filter(
        loan__device__shop=shop,
        at__gte=start,
        at__lt=end,
        deposit_back_minor__gt=0,
    )
    for row in back.select_related("loan"):
        method = row.loan.deposit_method
        yield DepositMove(row.at, -row.deposit_back, method, row.loan)
