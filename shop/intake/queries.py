"""Reads of customers, tickets and their events that other rooms share."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from django.db.models import Q, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from shop.intake import numbers, phones
from shop.intake.facts import TELLING_KINDS, Happened
from shop.intake.models import Customer, Ticket
from shop.intake.story import Story, stories_of, story_of
from shop.intake.things import Kept, places_by_ticket, things_of
from shop.intake.turn import Turn, whose_turn
from shop.people.models import Shop
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
MOST_OFFERED = 5
SHORTEST_NAME = 2


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
    return get_object_or_404(Customer, shop=shop, pk=pk)


def tickets_open(shop: Shop) -> list[Ticket]:
    """What has not been handed over, oldest first."""
    return list(_tickets(shop).filter(handover=None).order_by("id"))


def events_of(ticket: Ticket) -> list[Event]:
    """Everything that happened, newest first, with who and in which words."""
    rows = Event.objects.filter(ticket_id=ticket.pk).select_related("by", "note")
    return list(rows.order_by("-at", "-id"))


def turns_of(tickets: Sequence[Ticket], now: datetime) -> dict[int, Turn]:
    """Whose turn each of these tickets is, by ticket id, with one query."""
    happened = defaultdict[int, list[Happened]](list)
    rows = Event.objects.filter(
        ticket_id__in=[ticket.pk for ticket in tickets],
        kind__in=[kind.value for kind in TELLING_KINDS],
    ).order_by("id")
    columns = ("ticket_id", "kind", "at", "codes", "ids", "board_id", "person_id")
    for ticket_id, kind, *rest in rows.values_list(*columns):
        happened[ticket_id].append(Happened(Kind(kind), *rest))
    return {ticket_id: whose_turn(told, now) for ticket_id, told in happened.items()}


def turn_of(ticket: Ticket, now: datetime) -> Turn:
    return turns_of([ticket], now)[ticket.pk]


def customers_like(shop: Shop, name: str, phone: str) -> list[Customer]:
    """Customers who may be the one at the counter, known for longest first."""
    name, phone = (given.replace("\0", "").strip() for given in (name, phone))
    digits = phones.piece(phone)
    asked = Q(pk__in=[])
    if len(name) >= SHORTEST_NAME:
        asked |= Q(name__icontains=name)
    if digits:
        e164 = phones.e164(phone, shop.country) or digits
        asked |= Q(phone_e164__contains=e164.lstrip("+"))
        asked |= Q(phone_typed__contains=phone)
    return list(Customer.objects.filter(asked, shop=shop).order_by("id")[:MOST_OFFERED])


def tickets_of(customer: Customer) -> list[Ticket]:
    """Every ticket of a customer, newest first."""
    return list(_tickets(customer.shop).filter(customer=customer).order_by("-id"))
