"""Reads of customers, tickets and their events that other rooms share."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from django.db.models import Count, Max, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from shop.intake import numbers, open_tickets
from shop.intake.facts import TELLING_KINDS, Happened
from shop.intake.here_before import MOST_OFFERED, customers_like
from shop.intake.models import Customer, Ticket
from shop.intake.story import Story, stories_of, story_of
from shop.intake.things import Kept, places_by_ticket, things_of
from shop.intake.turn import Step, Turn, Whose, folded, turn_at
from shop.people.models import Shop
from shop.records.cache import cache
from shop.records.kinds import Kind
from shop.records.models import Event

__all__ = [
    "Kept",
    "Story",
    "closed_of",
    "customer_get",
    "customers_like",
    "events_of",
    "places_by_ticket",
    "stories_of",
    "story_of",
    "things_of",
    "ticket_get",
    "ticket_numbered",
    "tickets_of",
    "tickets_open",
    "turn_of",
    "turns_of",
]
KEPT_SECONDS = 24 * 60 * 60


def _tickets(shop: Shop) -> QuerySet[Ticket]:
    return Ticket.objects.filter(shop=shop).select_related(
        "shop", "customer", "device", "outcome", "handover"
    )


def ticket_get(shop: Shop, number: str) -> Ticket:
    """The ticket of this shop with this number, or 404."""
    if not numbers.is_valid(number):
        raise Http404
    return get_object_or_404(_tickets(shop), number=number)


def ticket_numbered(shop: Shop, number: str) -> Ticket | None:
    return _tickets(shop).filter(number=number).first()


def closed_of(customer: Customer) -> list[Ticket]:
    """What this customer had repaired before, newest first: may come back."""
    rows = _tickets(customer.shop).filter(customer=customer, handover__isnull=False)
    return list(rows.order_by("-id")[:MOST_OFFERED])


def customer_get(shop: Shop, pk: int) -> Customer:
    """The customer, or 404; of one that was kept twice, the row that stands."""
    rows = Customer.objects.select_related("joined_to")
    customer = get_object_or_404(rows, shop=shop, pk=pk)
    return customer.joined_to or customer


def tickets_open(shop: Shop) -> list[Ticket]:
    """What has not been handed over, oldest first."""
    return open_tickets.open_of(shop, _tickets(shop))


def events_of(ticket: Ticket) -> list[Event]:
    """Everything that happened, newest first, with who and in which words."""
    rows = Event.objects.filter(ticket_id=ticket.pk).select_related("by", "note")
    return list(rows.order_by("-at", "-id"))


def turns_of(tickets: Sequence[Ticket], now: datetime) -> dict[int, Turn]:
    """Whose turn each of these tickets is, by ticket id, with two queries.

    What a ticket's events amount to is kept until there is another.
    """
    keys = _folding_keys([ticket.pk for ticket in tickets])
    kept: dict[str, tuple[Step, ...]] = cache.get_many(keys.values())
    # Folded at a moment before its last event: a clock went back meanwhile.
    kept = {key: steps for key, steps in kept.items() if steps[-1][0] <= now}
    happened = _happened([pk for pk, key in keys.items() if key not in kept])
    fresh = {keys[pk]: folded(told, now) for pk, told in happened.items()}
    whole = {
        keys[pk]: fresh[keys[pk]]
        for pk, told in happened.items()
        if all(event.at <= now for event in told)
    }
    cache.set_many(whole, KEPT_SECONDS)
    kept |= fresh
    return {pk: turn_at(kept[key], now) for pk, key in keys.items()}


def whose_turns(tickets: Sequence[Ticket], now: datetime) -> dict[int, Whose]:
    """Whose turn and no more; of what was handed over no event is read."""
    open_ones = [one for one in tickets if not hasattr(one, "handover")]
    found = {ticket.pk: Whose.NOBODY for ticket in tickets}
    return found | {pk: turn.whose for pk, turn in turns_of(open_ones, now).items()}


def _folding_keys(ticket_ids: Sequence[int]) -> dict[int, str]:
    """Newest event and how many: an earlier one may be committed later."""
    rows = (
        Event.objects.filter(ticket_id__in=ticket_ids)
        .order_by("ticket_id")
        .values_list("ticket_id")
        .annotate(newest=Max("id"), count=Count("id"))
    )
    return {pk: f"turn-{pk}-{newest}-{n}" for pk, newest, n in rows if pk is not None}


def _happened(ticket_ids: Sequence[int]) -> dict[int, list[Happened]]:
    """The telling events of these tickets, in the order written."""
    happened = defaultdict[int, list[Happened]](list)
    if not ticket_ids:
        return happened
    rows = Event.objects.filter(
        ticket_id__in=ticket_ids, kind__in=[kind.value for kind in TELLING_KINDS]
    ).order_by("id")
    columns = ("ticket_id", "kind", "at", "codes", "ids", "board_id", "person_id")
    for ticket_id, kind, *rest in rows.values_list(*columns):
        happened[ticket_id].append(Happened(Kind(kind), *rest))
    return happened


def turn_of(ticket: Ticket, now: datetime) -> Turn:
    return turns_of([ticket], now)[ticket.pk]


def tickets_of(customer: Customer) -> list[Ticket]:
    """Every ticket of a customer, newest first."""
    return list(_tickets(customer.shop).filter(customer=customer).order_by("-id"))
