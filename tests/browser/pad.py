"""What the tests of the bench's number pad share."""

from urllib.parse import urlencode

from playwright.sync_api import Page

from diagnostics.models import Board


def board_url(board: Board, **state: str) -> str:
    ticket = board.ticket_boards.get().ticket
    return f"/bench/{ticket.number}/{board.pk}/?{urlencode(state)}"


def at_focus(page: Page) -> str:
    return str(page.evaluate("document.activeElement.id"))
