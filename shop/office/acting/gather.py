"""From rows to the facts that the lists are made of. Reads, never writes.

A constant number of queries, however many tickets are open or were ever closed: of
closed ones only those are looked at that no invoice bills.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from shop.billing.models import QuoteAnswer
from shop.books import queries as books
from shop.books.debts import Job
from shop.intake import promising
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.intake.turn import Turn
from shop.office.acting.rules import Open, Paper
from shop.people.models import Shop


@dataclass(frozen=True)
class OpenOnes:
    """The open tickets with their turns, by their keys, and what the lists ask."""

    rows: Mapping[int, Ticket]
    turns: Mapping[int, Turn]
    facts: Sequence[Open]


def open_ones(shop: Shop, now: datetime, owed: Mapping[Job, int]) -> OpenOnes:
    found = tickets.tickets_open(shop)
    turns = tickets.turns_of(found, now)
    foretold = promising.breaking(shop, found, turns, now)
    agreed = _said_yes(found)
    facts = [
        Open(
            one.pk,
            turns[one.pk],
            said_yes=one.pk in agreed or _needs_no_yes(one),
            is_foretold=one.pk in foretold,
            owes=owed.get(Job("ticket", one.pk, one.currency), 0),
        )
        for one in found
    ]
    return OpenOnes({one.pk: one for one in found}, turns, facts)


def _needs_no_yes(ticket: Ticket) -> bool:
    """Agreed at the counter, or a warranty's: its parts are ordered once covered."""
    return ticket.pre_approved_minor is not None or ticket.is_warranty


def _said_yes(found: Sequence[Ticket]) -> set[int]:
    """Which of these tickets have a yes to a quote."""
    rows = QuoteAnswer.objects.filter(quote__ticket__in=found, is_yes=True)
    return set(rows.values_list("quote__ticket", flat=True))


def papers(owed: Mapping[Job, int]) -> list[Paper]:
    """Each invoice of which something is unpaid: a job pays its oldest first."""
    return [
        Paper(one.pk, one.due_on, one.currency, one.owed) for one in books.unpaid(owed)
    ]
