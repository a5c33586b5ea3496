"""Where the things of a ticket are, from what happened to them."""

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
