"""A quote drafted from the leading suspect: a part, its minutes, and the doubt.

The bench knows what it suspects and billing what things cost; only the desk knows both.
"""

from dataclasses import replace

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from diagnostics import advising
from diagnostics import queries as bench
from diagnostics.bridge import Known
from diagnostics.models import Board
from shop.billing import drafts
from shop.billing import services as billing
from shop.billing.models import QuoteDraft
from shop.billing.offers import risks
from shop.billing.offers.by_class import typical_price
from shop.desk.found_more import guess, named_of
from shop.intake.models import Ticket
from shop.intake.pages import act_button
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.idempotency import once

SURE, OUT_OF = 0.95, 10
HIGH = "high"


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@at_ticket
@once
def quote_draft(request: AtWork, ticket: Ticket, board_id: int) -> HttpResponse:
    board = get_object_or_404(bench.boards_of(ticket), pk=board_id)
    answer = act_button(
        request,
        ticket,
        lambda: quote_draft_from_suspect(ticket=ticket, board=board, by=request.user),
    )
    is_done = answer.status_code == 302
    return redirect("billing:quote_new", ticket.number) if is_done else answer


@transaction.atomic
def quote_draft_from_suspect(*, ticket: Ticket, board: Board, by: Person) -> QuoteDraft:
    """Keep a draft of the next version; a person looks at it before it is sent."""
    known = bench.known_of(board)
    named = named_of(known, board, ticket)
    if named is None:
        raise Refused(_("The bench names no suspect yet: write the quote by hand."))
    said = guess(board, ticket)
    part = known.board.parts[named[0]]
    price = said.price or typical_price(ticket, part.id, part.cost_class)
    lines = drafts.lines_for(
        ticket, minutes=said.minutes, part=said.part, price=price, at=timezone.now()
    )
    facts = replace(
        risks.facts_of(ticket),
        may_lock_disk=part.locks_disk,
        is_large_chip=part.risk == HIGH,
    )
    with translation.override(ticket.customer.language):
        cause = with_doubt(said.cause, likelihood(known, named[0]))
    return billing.quote_draft_keep(
        ticket=ticket,
        by=by,
        lines=lines,
        cause=cause,
        risks=[str(one) for one in risks.risks_of(facts)],
    )


def likelihood(known: Known, part_id: str) -> float | None:
    """How likely the part is at fault, whatever its way of failing; None: no word."""
    said = advising.said_on_page(known)
    if said is None:
        return None
    return sum(one.probability for one in said.suspects if one.part_id == part_id)


def with_doubt(cause: str, probability: float | None) -> str:
    """The cause, and how often such a case turns out to be something else."""
    if probability is None or probability >= SURE:
        return cause
    others = max(1, round((1 - probability) * OUT_OF))
    return _(
        "Most likely: %(cause)s. In about %(others)d of %(all)d such cases it turns "
        "out to be something else; then we ask again."
    ) % {"cause": cause, "others": others, "all": OUT_OF}
