"""What the owner acts on: lists of tickets and papers. Reads, never writes."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from shop.billing import owing
from shop.billing.models import Invoice, Payment
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.intake.turn import Turn, Whose
from shop.money import Money
from shop.office.figures import Split, mean_split
from shop.people.models import Shop

LONG_IN_QUEUE = timedelta(days=3)
LONG_UNANSWERED = timedelta(days=3)
SPLIT_OVER = timedelta(days=90)
MOST_ROWS = 50


@dataclass(frozen=True)
class Waiting:
    """An open ticket that asks for an act of ours."""

    ticket: Ticket
    turn: Turn


@dataclass(frozen=True)
class Owing:
    invoice: Invoice
    due: Money
    days_late: int


@dataclass(frozen=True)
class Review:
    untouched: list[Waiting]
    unanswered: list[Waiting]
    not_collected: list[Waiting]
    owing: list[Owing]
    split: Split | None
    invoiced: Money
    paid: Money


def review(shop: Shop, now: datetime) -> Review:
    open_ones = tickets.tickets_open(shop)
    turns = tickets.turns_of(open_ones, now)
    waiting = [Waiting(ticket, turns[ticket.pk]) for ticket in open_ones]
    month = now.astimezone(shop.zone).replace(
        day=1, hour=0, minute=0, second=0, microsecond=0
    )
    return Review(
        untouched=_long(waiting, Whose.OURS, LONG_IN_QUEUE, now, part="queue"),
        unanswered=_long(waiting, Whose.CUSTOMER, LONG_UNANSWERED, now),
        not_collected=_long(waiting, Whose.HANDOVER, timedelta(0), now),
        owing=_owing(shop, now),
        split=_split(shop, now),
        invoiced=_sum(
            Invoice.objects.filter(issued_at__gte=month), shop, "total_minor"
        ),
        paid=_sum(Payment.objects.filter(at__gte=month), shop, "amount_minor"),
    )


def _long(
    waiting: list[Waiting],
    whose: Whose,
    longer_than: timedelta,
    now: datetime,
    part: str = "",
) -> list[Waiting]:
    chosen = [
        w
        for w in waiting
        if w.turn.whose == whose
        and (not part or w.turn.part == part)
        and now - w.turn.since >= longer_than
    ]
    return sorted(chosen, key=lambda w: w.turn.since)


def _owing(shop: Shop, now: datetime) -> list[Owing]:
    """Invoices with money due, the longest late first."""
    due = (
        F("total_minor")
        - F("prepaid_minor")
        - _sum_of(Payment.objects.all(), "invoice", owing.SETTLED)
        + _sum_of(Invoice.objects.all(), "corrects", "total_minor")
    )
    rows = (
        Invoice.objects.filter(shop=shop, kind=Invoice.Kind.INVOICE)
        .select_related("ticket")
        .annotate(due_minor=due)
        .filter(due_minor__gt=0)
        .order_by("due_on")[:MOST_ROWS]
    )
    today = now.astimezone(shop.zone).date()
    return [
        Owing(
            invoice,
            Money.from_minor(invoice.due_minor, invoice.currency),
            max(0, (today - invoice.due_on).days),
        )
        for invoice in rows
    ]


def _sum_of(
    rows: QuerySet[Payment] | QuerySet[Invoice],
    link: str,
    column: str | Combinable,
) -> Coalesce:
    """The sum of a column over the rows that point to the outer invoice."""
    own = rows.order_by().filter(**{link: OuterRef("pk")}).values(link)
    return Coalesce(Subquery(own.annotate(sum=Sum(column)).values("sum")), Value(0))


def _split(shop: Shop, now: datetime) -> Split | None:
    closed = list(
        Ticket.objects.filter(
            shop=shop, handover__at__gte=now - SPLIT_OVER, handover__is_undone=False
        )
    )
    turns = tickets.turns_of(closed, now)
    return mean_split([turns[ticket.pk].pieces for ticket in closed])


def _sum(rows: QuerySet[Invoice] | QuerySet[Payment], shop: Shop, column: str) -> Money:
    minor = rows.filter(shop=shop, currency=shop.currency).aggregate(
        sum=Coalesce(Sum(column), Value(0))
    )["sum"]
    return Money.from_minor(minor, shop.currency)
