"""A ticket that is parked lies in nobody's hands."""

from diagnostics import holding
from diagnostics.models import Board
from diagnostics.services.boards import board_put_down
from shop.intake.models import Ticket
from shop.records.models import Event


def put_down(event: Event) -> None:
    """Put down what of the parked ticket was in hand."""
    if event.by is None or event.ticket_id is None:
        return
    ticket = Ticket.objects.get(pk=event.ticket_id)
    for board in Board.objects.filter(ticket_boards__ticket=ticket):
        if holding.holder_of(board, event.at) is not None:
            board_put_down(board=board, ticket=ticket, by=event.by, at=event.at)
