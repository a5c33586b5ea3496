"""A scan at the bench takes the board in hand: that is how its clock starts."""

from diagnostics import services as bench
from diagnostics.place import Place
from shop.intake import scans
from shop.intake.models import ThingKind, Ticket
from shop.intake.scans import What
from shop.people.models import Person, Shop
from shop.records.errors import Refused

# A tag on an adapter or a bag of screws is no tag of the board.
WITH_THE_BOARD = frozenset({ThingKind.MACHINE, ThingKind.BOARD})


def ticket_of(shop: Shop, code: str) -> Ticket | None:
    """The ticket whose slip, machine or board bears this code."""
    read = scans.read(code)
    if read.what not in {What.TICKET, What.TAG} or read.is_misread:
        return None
    ticket = shop.tickets.filter(number=read.number).select_related("device").first()
    if ticket is None or read.what == What.TICKET:
        return ticket
    thing = ticket.things.filter(tag=read.tag).first()
    return ticket if thing is not None and thing.kind in WITH_THE_BOARD else None


def taken_by_scan(shop: Shop, person: Person, code: str) -> Place | None:
    """Take the ticket's board in hand, if it has one and one alone."""
    ticket = ticket_of(shop, code)
    if ticket is None:
        return None
    joined = list(ticket.ticket_boards.select_related("board__board_model")[:2])
    if len(joined) != 1:
        return None
    board = joined[0].board
    try:
        bench.board_take(board=board, ticket=ticket, by=person)
    except Refused:
        return None
    return Place(ticket, board)
