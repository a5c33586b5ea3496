"""What the shown rows need beside the facts: few rows, a constant number of queries."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from diagnostics.models import TicketBoard
from shop.billing.models import Invoice
from shop.books.queries import Due, dues
from shop.intake.models import Ticket
from shop.office.acting.lists import Code, Entry, Lists
from shop.office.acting.rules import Done, Open, Paper, Promise

COPIES = ("story", "evidence", "texts", "seller", "device")


@dataclass(frozen=True)
class Read:
    """By key; ``longest`` is the age of the oldest open ticket."""

    lists: Lists
    tickets: Mapping[int, Ticket]
    invoices: Mapping[int, Invoice]
    due: Mapping[int, Due]
    boards: Mapping[int, int]
    longest: timedelta


def read(
    lists: Lists, shown: Mapping[Code, Sequence[Entry]], *, at_the_bench: bool
) -> Read:
    entries = [one for some in shown.values() for one in some]
    invoices = _invoices(one.pk for one in entries if isinstance(one, Paper))
    done = {one.pk for one in entries if isinstance(one, Done)}
    closed = Ticket.objects.filter(pk__in=done - set(lists.here.rows))
    return Read(
        lists,
        tickets={
            **lists.here.rows,
            **{one.pk: one for one in closed.select_related("customer", "device")},
        },
        invoices=invoices,
        due=dues(invoices.values(), lists.shop, lists.now),
        boards=_boards(entries) if at_the_bench else {},
        longest=max((turn.age for turn in lists.here.turns.values()), default=_NONE),
    )


_NONE = timedelta()


def _invoices(keys: Iterable[int]) -> dict[int, Invoice]:
    rows = Invoice.objects.filter(pk__in=list(keys)).defer(*COPIES)
    return {row.pk: row for row in rows.select_related("ticket__device", "account")}


def _boards(entries: Iterable[Entry]) -> dict[int, int]:
    """The newest board of each ticket that somebody may take in hand."""
    waiting = [one.pk for one in entries if isinstance(one, Open | Promise)]
    rows = TicketBoard.objects.filter(ticket__in=waiting).order_by("pk")
    return dict(rows.values_list("ticket", "board"))
