"""Minutes and money of the tickets of one board model. Reads, never writes."""

from collections.abc import Collection

from django.db.models import BigIntegerField, F, Q, QuerySet, Sum
from django.db.models.expressions import CombinedExpression
from django.db.models.functions import Coalesce

from shop.billing.models import Invoice, LabourKind, PartUse, TimeEntry
from shop.intake.models import Ticket
from shop.office.margin import Margin, Rate, Worked, margin_of
from shop.people.models import Shop


def minutes_by_kind(tickets: Collection[int]) -> dict[int, dict[str, int]]:
    """By ticket and kind of work, what was not taken back; one query."""
    rows = TimeEntry.objects.filter(ticket__in=tickets)
    found: dict[int, dict[str, int]] = {}
    for ticket_id, kind, minutes in (
        rows.order_by().values_list("ticket_id", "kind").annotate(sum=Sum("minutes"))
    ):
        if minutes:
            found.setdefault(ticket_id, {})[kind] = minutes
    return found


def of_tickets(shop: Shop, tickets: Collection[int]) -> Margin:
    """The margin of those that are billed or closed: the others cost still.

    Five queries, however many they are. Machine time is no labour.
    """
    ids = _settled(tickets)
    papers = Invoice.objects.filter(ticket__in=ids, currency=shop.currency)
    parts = PartUse.objects.filter(ticket__in=ids, currency=shop.currency)
    return margin_of(
        tickets=len(ids),
        invoiced=_sum(papers, F("net_minor")),
        parts=_sum(parts, F("cost_minor") * F("quantity")),
        worked=_worked(ids),
        rates=rates_of(shop),
    )


def _settled(tickets: Collection[int]) -> set[int]:
    rows = Ticket.objects.filter(
        Q(invoices__isnull=False) | Q(handover__isnull=False), pk__in=tickets
    )
    return set(rows.values_list("pk", flat=True))


def _sum(
    rows: QuerySet[Invoice] | QuerySet[PartUse], of: F | CombinedExpression
) -> int:
    """Credit notes and parts taken back hold negative figures."""
    field = BigIntegerField()
    found = rows.aggregate(sum=Coalesce(Sum(of, output_field=field), 0))
    return int(found["sum"])


def _worked(ids: Collection[int]) -> list[Worked]:
    rows = TimeEntry.objects.filter(ticket__in=ids).exclude(kind=LabourKind.MACHINE)
    columns = rows.order_by("id").values_list("ticket_id", "minutes", "started_at")
    return [Worked(*one) for one in columns]


def rates_of(shop: Shop) -> list[Rate]:
    """What an hour costs the shop, from when on; the oldest first."""
    rows = shop.terms.order_by("valid_from")
    return [Rate(*one) for one in rows.values_list("valid_from", "cost_rate_minor")]
