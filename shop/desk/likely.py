"""The parts that a ticket's boards may need: suspects first, then what they carry."""

from collections.abc import Iterator

from diagnostics import advising
from diagnostics import queries as bench
from diagnostics.bridge import Known
from shop.billing import likely
from shop.intake.models import Ticket


def part_ids_of(ticket: Ticket) -> list[str]:
    """Named once each: by the suspects' odds, then by the board's own list."""
    found = [*_suspected(ticket), *_fitted(ticket)]
    return list(dict.fromkeys(found))


def _suspected(ticket: Ticket) -> Iterator[str]:
    for known in _boards(ticket):
        said = advising.said_before(known)
        if said is not None:
            yield from (suspect.part_id for suspect in said.suspects)


def _fitted(ticket: Ticket) -> Iterator[str]:
    for known in _boards(ticket):
        yield from known.board.parts


def _boards(ticket: Ticket) -> list[Known]:
    boards = [row.board for row in ticket.ticket_boards.select_related("board")]
    return list(bench.known_of_all(boards).values())


def tell() -> None:
    likely.told_by(part_ids_of)
