"""What to tell of a ticket now: its facts from all rooms, for the one sentence.

The ticket's head, the customer's page and messages say the same by it.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from shop.billing import queries as money
from shop.billing.models import Quote
from shop.billing.queries import QuoteState
from shop.intake import queries as tickets
from shop.intake.facts import Happened
from shop.intake.models import STAYS_HERE, Ticket
from shop.intake.read_out import FOUND_KINDS, Known, Price, Said, found_by, read_out
from shop.intake.turn import Turn, Whose
from shop.people.hours import add_working_days
from shop.people.models import Shop
from shop.people.opening_hours import hours_of
from shop.records.kinds import Kind
from shop.records.models import Event

# The next word after a call, in days on which the shop is open (jd).
NEXT_WORD_DAYS = 3
OFFERED_DAYS = (1, NEXT_WORD_DAYS, 5, 10)


def said_of(ticket: Ticket, now: datetime, *, turn: Turn | None = None) -> Said:
    """The sentences of this moment, as codes."""
    return read_out(known_of(ticket, now, turn=turn))


def known_of(
    ticket: Ticket,
    now: datetime,
    *,
    turn: Turn | None = None,
    state: QuoteState | None = None,
) -> Known:
    turn = turn or tickets.turn_of(ticket, now)
    zone = ticket.shop.zone
    events = _events(ticket)
    outcome = getattr(ticket, "outcome", None)
    handover = getattr(ticket, "handover", None)
    is_ready = turn.whose in {Whose.HANDOVER, Whose.NOBODY}
    return Known(
        today=now.astimezone(zone).date(),
        device=ticket.device.kind,
        whose=turn.whose,
        waits_for=turn.waits_for,
        details=turn.details,
        currency=ticket.currency,
        found=found_by(events),
        price=_price(state or money.quote_state(ticket)),
        promise=turn.promise.astimezone(zone).date() if turn.promise else None,
        promise_about=_about(events),
        outcome=outcome.kind if outcome else "",
        no_fix_reason=outcome.no_fix_reason if outcome else "",
        due=_due(ticket) if is_ready else None,
        given_back=handover.at.astimezone(zone).date() if handover else None,
        stays_how=handover.way if handover and handover.way in STAYS_HERE else "",
        covered_until=covered_until(ticket) if is_ready else None,
    )


def _due(ticket: Ticket) -> int | None:
    """What is to be paid; an account is asked for nothing over one ticket."""
    if money.is_billed_monthly(ticket):
        return None
    return money.balance(ticket).due.minor


def _events(ticket: Ticket) -> list[Happened]:
    """What was found and promised, in the order written."""
    kinds = [kind.value for kind in (*FOUND_KINDS, Kind.PROMISE_MADE)]
    rows = Event.objects.filter(ticket_id=ticket.pk, kind__in=kinds).order_by("id")
    told = rows.values_list("kind", "at", "codes")
    return [Happened(Kind(kind), at, codes) for kind, at, codes in told]


def _about(events: Sequence[Happened]) -> str:
    promises = [event for event in events if event.kind == Kind.PROMISE_MADE]
    return str(promises[-1].codes.get("about", "")) if promises else ""


def _price(state: QuoteState) -> Price | None:
    quote = open_quote(state)
    if quote is None:
        return None
    least = min(state.open, key=lambda one: one.total_minor)
    return Price(
        version=quote.version,
        total=least.total_minor,
        cap=least.cap_minor,
        valid_until=quote.valid_until,
        options=len(state.open) if quote.option else 0,
    )


def open_quote(state: QuoteState) -> Quote | None:
    """The quote that waits for its answer, of options the first."""
    return next(iter(state.open), None)


def covered_until(ticket: Ticket) -> date | None:
    """The last day of the warranty on this ticket's work."""
    return money.covered_until(ticket)


def next_word_days(shop: Shop, now: datetime) -> list[date]:
    """The days that are offered for the next word: as many open days from today."""
    today = now.astimezone(shop.zone).date()
    hours = hours_of(shop)
    return [
        add_working_days(hours, today, count) or today + timedelta(days=count)
        for count in OFFERED_DAYS
    ]
