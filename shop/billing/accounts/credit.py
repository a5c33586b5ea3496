"""How much an account owes, against the limit up to which it may go unpaid.

Owing is what was billed and not paid, and the work that went out of the door and is
not billed yet. Machines that are still here are no credit: they are what is owed for.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone

from shop.billing import owing, queries
from shop.billing.accounts.draft import to_be_billed
from shop.billing.accounts.statement import balance_at
from shop.billing.services.prepayments import deductions
from shop.billing.totals import Line, totals
from shop.intake import accounts
from shop.intake.models import Customer, Ticket
from shop.money import Money, nothing


@dataclass(frozen=True)
class Credit:
    """``this`` is the work that would go out now; ``limit`` None: none was set."""

    limit: Money | None
    billed: Money
    unbilled: Money
    this: Money

    @property
    def owing(self) -> Money:
        return self.billed + self.unbilled + self.this

    @property
    def above(self) -> Money:
        """By how much it is over the limit; nothing while it is within."""
        if self.limit is None or self.owing <= self.limit:
            return nothing(self.owing.currency)
        return self.owing - self.limit


def credit_of(customer: Customer, going_out: Ticket | None = None) -> Credit:
    """Where an account stands now; with a ticket, where it would stand after it."""
    now = timezone.now()
    rules = accounts.rules_at(customer, now)
    currency = customer.shop.currency
    limit = rules.credit_limit if rules else None
    waiting = [one for one in to_be_billed(customer) if one != going_out]
    return Credit(
        limit=limit if limit is not None and limit.currency == currency else None,
        billed=balance_at(customer, now),
        unbilled=worth(waiting, currency),
        this=worth([going_out] if going_out else [], currency),
    )


def worth(tickets: Iterable[Ticket], currency: str) -> Money:
    """What the work on tickets comes to with tax, as on one invoice."""
    here = [one for one in tickets if one.currency == currency]
    lines = [line for one in here for line in _lines(one)]
    return totals(lines, currency).total


def _lines(ticket: Ticket) -> list[Line]:
    """The work, less what prepayment invoices billed of it before."""
    advances = owing.standing_prepayments(ticket)
    return [*queries.work_lines(ticket), *deductions(advances, "en")]
