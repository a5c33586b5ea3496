"""A repair that may be called fixed, for tests that are about something else."""

from diagnostics import queries, services
from diagnostics.proof import required
from diagnostics.proof_closing import COUNTED
from diagnostics.proof_state import state_of
from shop.intake.models import Ticket
from shop.people.models import Person


def proved(ticket: Ticket, by: Person) -> Ticket:
    """Not found said openly unless a cause is named, each item of the proof waived."""
    for board in queries.boards_of(ticket):
        if not ticket.findings.exists():
            services.finding_confirm(
                board=board, ticket=ticket, by=by, cause="not_found"
            )
    state = state_of(ticket)
    for item in required(state.handed, case=state.case):
        services.proof_item_record(
            ticket=ticket, by=by, item=item, result="waived", words="not in this test"
        )
    services.proof_item_record(ticket=ticket, by=by, item=COUNTED, result="passed")
    return ticket
