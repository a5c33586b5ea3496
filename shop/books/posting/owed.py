"""Papers and payments of one job, booked in their order. PURE.

Money before a paper is a liability (prepayments). A paper is owed (receivables) and
takes from the liability what it can; a payment settles what is owed, and what is more
is a liability again. A credit note turns the paper round: what had been paid for it
goes back to the liability, where a refund takes it from.

An advance with a prepayment invoice of its own is no revenue: its net is a liability
(advances, by rate) and its tax is payable at once, until the invoice of the work takes
it off and earns the whole (the net method: Deutsche Handwerks Zeitung, "Anzahlung
erhalten", 2023; EU VAT directive 2006/112, article 65).

With this no job has both at once: owed is papers less payments where that is above
zero, else the liability is the rest.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from shop.books.posting.accounts import (
    OTHER_MONEY,
    Account,
    Rate,
    advances,
    revenue,
    tax,
)
from shop.books.posting.entries import Entry, lines_of

MONEY: Mapping[str, str] = {
    "cash": Account.CASH,
    "card": Account.CARDS,
    "transfer": Account.BANK,
    "credit": Account.CREDIT,
}


def money_of(method: str) -> str:
    """The account that money of a way of paying is on."""
    return MONEY.get(method, f"{OTHER_MONEY}.{method}")


@dataclass(frozen=True)
class TaxPart:
    """A rate's sum and tax on a paper.

    ``advance`` is the part of the sum that is no work: what a prepayment invoice
    bills, below zero where an invoice takes it off again.
    """

    rate: Rate
    taxable: int
    tax: int
    advance: int = 0


@dataclass(frozen=True)
class Paper:
    """An invoice or a credit note; amounts in minor units, a credit note's negative."""

    pk: int
    at: datetime
    day: date
    kind: str
    number: str
    currency: str
    total: int
    prepaid: int
    taxes: tuple[TaxPart, ...]

    @property
    def order(self) -> tuple[datetime, int, int]:
        return self.at, 1, self.pk


@dataclass(frozen=True)
class Paid:
    """Money in, or back where ``amount`` is below zero.

    ``rounding`` is the part of the amount that settles nothing: what cash rounding
    put on it (above zero), or left off.
    """

    pk: int
    at: datetime
    day: date
    mark: str
    currency: str
    amount: int
    method: str
    is_after_paper: bool
    rounding: int = 0

    @property
    def settled(self) -> int:
        return self.amount - self.rounding

    @property
    def kind(self) -> str:
        return "payment" if self.settled > 0 else "refund"

    @property
    def order(self) -> tuple[datetime, int, int]:
        """At the same moment an advance comes before the paper that takes it."""
        return self.at, 2 if self.is_after_paper else 0, self.pk


Fact = Paper | Paid


@dataclass
class Standing:
    """What a job owes, and what it has paid beforehand."""

    owed: int = 0
    prepaid: int = 0


def booked(facts: Iterable[Fact]) -> Iterator[tuple[Fact, Entry]]:
    """Each paper and payment of one job with its entry, in the order of time."""
    standing = Standing()
    for fact in sorted(facts, key=lambda one: one.order):
        if isinstance(fact, Paper):
            yield fact, _paper(fact, standing)
        else:
            yield fact, _paid(fact, standing)


def _paper(paper: Paper, standing: Standing) -> Entry:
    standing.owed += paper.total
    taken = max(paper.prepaid, min(standing.prepaid, standing.owed), 0)
    if standing.owed < 0:  # credited, and paid before
        taken = standing.owed
    standing.owed -= taken
    # What an account paid on its tickets is held there: here is no less than nothing.
    standing.prepaid = max(standing.prepaid - taken, 0)
    return Entry(
        day=paper.day,
        kind=paper.kind,
        paper=paper.number,
        currency=paper.currency,
        lines=lines_of(
            (Account.RECEIVABLES, paper.total),
            *(
                (revenue(part.rate), part.advance - part.taxable)
                for part in paper.taxes
            ),
            *((advances(part.rate), -part.advance) for part in paper.taxes),
            *((tax(part.rate), -part.tax) for part in paper.taxes),
            (Account.PREPAYMENTS, taken),
            (Account.RECEIVABLES, -taken),
        ),
    )


def _paid(paid: Paid, standing: Standing) -> Entry:
    settled = paid.settled
    if settled > 0:
        of_owed = min(settled, max(standing.owed, 0))
    else:
        of_owed = min(settled + max(standing.prepaid, 0), 0)
    rest = settled - of_owed
    standing.owed -= of_owed
    standing.prepaid += rest
    money = money_of(paid.method)
    return Entry(
        day=paid.day,
        kind=paid.kind,
        paper=paid.mark,
        currency=paid.currency,
        lines=lines_of(
            (money, paid.amount),
            (Account.ROUNDING, -paid.rounding),
            (Account.RECEIVABLES, -of_owed),
            (Account.PREPAYMENTS, -rest),
        ),
    )
