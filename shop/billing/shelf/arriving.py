"""Which order a scanned or typed code means, and where what came belongs."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from shop.billing.models import OrderLine, StockMove
from shop.billing.shelf_models import Claim
from shop.intake import numbers, scans
from shop.intake import queries as tickets
from shop.people.models import Shop


def awaited(shop: Shop) -> QuerySet[OrderLine]:
    """All that is on its way, what is due first."""
    rows = shop.order_lines.filter(awaited__gt=0)
    return rows.select_related(
        "ticket__customer", "ticket__device", "item__place", "replaces"
    ).order_by("due_on", "id")


def meant(shop: Shop, typed: str) -> list[OrderLine]:
    """The lines of this code: exactly its own, else those whose words hold it.

    A code is a part's barcode or code, the supplier's number of it or of the order,
    a ticket.
    """
    typed = typed.strip()[: scans.LONGEST]
    if not typed:
        return []
    rows = awaited(shop)
    for text in (typed, *scans.also(typed)):
        exact = list(rows.filter(_exactly(text)))
        if exact:
            return exact
    for word in typed.split():
        rows = rows.filter(
            Q(name__icontains=word)
            | Q(supplier__icontains=word)
            | Q(item__code__icontains=word)
            | Q(reference__icontains=word)
            | Q(their_code__icontains=word)
        )
    return list(rows)


def _exactly(text: str) -> Q:
    number = scans.read(text).number or numbers.compact(text)
    return (
        Q(item__barcode=text)
        | Q(item__code__iexact=text)
        | Q(reference__iexact=text)
        | Q(their_code__iexact=text)
        | Q(ticket__number=number)
    )


@dataclass(frozen=True)
class Came:
    """Something that has just come, and where to put it."""

    move: StockMove
    line: OrderLine
    with_things: list[str]
    left: int


def came(shop: Shop, move_id: str) -> Came | None:
    """What this move brought, if it was an order's."""
    if not (move_id.isascii() and move_id.isdigit()):
        return None
    moves = StockMove.objects.filter(
        item__shop=shop, why=StockMove.Why.RECEIVED, order_line__isnull=False
    ).select_related("item__place", "order_line__ticket__customer")
    move = moves.filter(pk=int(move_id[:18])).first()
    if move is None or move.order_line is None:
        return None
    ticket = move.order_line.ticket
    lying = tickets.places_by_ticket([ticket]).get(ticket.pk, []) if ticket else []
    return Came(move, move.order_line, lying, move.order_line.awaited)


def open_claims(shop: Shop) -> QuerySet[Claim]:
    """What suppliers still have to make good, the oldest first."""
    rows = shop.claims.filter(end=None)
    return rows.select_related("ticket__customer", "item", "replacement", "by")


def by_supplier(
    lines: Iterable[OrderLine],
) -> dict[str, list[OrderLine]]:
    grouped: dict[str, list[OrderLine]] = {}
    for line in lines:
        grouped.setdefault(line.supplier, []).append(line)
    return grouped
