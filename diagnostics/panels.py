"""What the ticket page shows of the bench."""

from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from diagnostics import ladders, queries, sayings
from diagnostics.bridge import Known
from shop.intake.models import Ticket
from shop.people.models import Person, Role


def panel(ticket: Ticket, user: Person) -> SafeString:
    """The twin ladders of a ticket's boards, its findings, the way to the bench."""
    held = set(
        user.memberships.filter(shop_id=ticket.shop_id).values_list("role", flat=True)
    )
    boards = [queries.known_of(board) for board in queries.boards_of(ticket)]
    context = {
        "ticket": ticket,
        "boards": [of_board(known, ticket) for known in boards],
        "is_technician": Role.TECHNICIAN in held,
        "may_see_lore": bool(held & {Role.TECHNICIAN, Role.OWNER}),
    }
    return render_to_string("diagnostics/_panel.html", context)


def of_board(known: Known, ticket: Ticket) -> dict[str, Any]:
    return {
        "row": known.row,
        "twin": ladders.twin(known, ticket),
        "readings": len(known.readings),
        "findings": [
            sayings.finding(known.board, one)
            for one in known.row.findings.select_related("by").order_by("id")
        ],
    }
