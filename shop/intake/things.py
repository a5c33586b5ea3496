"""Where the things of a ticket are, from what happened to them."""

from collections.abc import Sequence
from dataclasses import dataclass

from shop.intake.models import Thing, Ticket
from shop.records.kinds import Kind
from shop.records.models import Event


@dataclass(frozen=True)
class Kept:
    """A thing that came with a ticket: where it lies, or that it went back."""

    thing: Thing
    place: str
    is_given_back: bool

    @property
    def tag(self) -> str:
        return f"{self.thing.ticket.number}-{self.thing.tag}"


def given_back(ticket: Ticket) -> set[int]:
    """The things of this ticket that went back to the customer."""
    rows = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.THING_RETURNED)
    return {ids["thing"] for ids in rows.values_list("ids", flat=True)}


def moves_of(thing: Thing) -> list[Event]:
    """Every time that this thing was put somewhere, oldest first."""
    rows = Event.objects.filter(ticket_id=thing.ticket_id, kind=Kind.THING_MOVED)
    return [event for event in rows.order_by("id") if event.ids["thing"] == thing.pk]


def things_of(ticket: Ticket) -> list[Kept]:
    places: dict[int, str] = {}
    moves = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.THING_MOVED)
    for ids, codes in moves.order_by("id").values_list("ids", "codes"):
        places[ids["thing"]] = codes["place"]
    gone = given_back(ticket)
    return [
        Kept(thing, places.get(thing.pk, ""), thing.pk in gone)
        for thing in ticket.things.select_related("ticket")
    ]


def places_by_ticket(tickets: Sequence[Ticket]) -> dict[int, list[str]]:
    """Where the things of each ticket lie, the first tag's place first; one query."""
    lies: dict[int, dict[int, str]] = {}
    rows = Event.objects.filter(
        ticket_id__in=[ticket.pk for ticket in tickets],
        kind__in=[Kind.THING_MOVED.value, Kind.THING_RETURNED.value],
    )
    columns = ("ticket_id", "kind", "ids", "codes")
    for ticket_id, kind, ids, codes in rows.order_by("id").values_list(*columns):
        place = codes["place"] if kind == Kind.THING_MOVED else ""
        lies.setdefault(ticket_id or 0, {})[ids["tag"]] = place
    return {
        ticket_id: list(dict.fromkeys(p for _tag, p in sorted(by_tag.items()) if p))
        for ticket_id, by_tag in lies.items()
    }
