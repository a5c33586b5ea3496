"""What the customer's page says: nothing private, nothing that it can't know.

No name, no phone, no serial, no passcode, no note of ours; the texts that stand on
the customer's own papers (cause, risk, what was done) may be here too.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _

from shop.billing import queries as money
from shop.billing.lines import line_of
from shop.billing.models import Quote, QuoteAnswer
from shop.billing.quote_state import QuoteState, asked_anew_at
from shop.billing.totals import MINUTE, Line, totals
from shop.billing.wording import number_shown, quantity_text
from shop.desk.read_out import known_of, open_quote
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.intake.panels import stretches
from shop.intake.read_out import Known, Said, read_out
from shop.intake.read_out_words import sentences
from shop.intake.turn import Turn, Whose
from shop.intake.words import span
from shop.money import Money
from shop.people.models import ClosedDay, Shop
from shop.people.opening_hours import week_said

STRIP_WIDTH = 340
SHOWN_AHEAD = timedelta(days=21)
ENDED = {Whose.HANDOVER, Whose.NOBODY}


@dataclass(frozen=True)
class Offer:
    """A quote as the page shows it. ``may_answer`` while it is open and in date.

    With ``options`` it is the first of them, and they are all of them.
    """

    quote: Quote
    rows: tuple[tuple[str, str, Money], ...]
    taxes: tuple[tuple[str, Money], ...]
    may_answer: bool
    is_over: bool
    after_no: Money
    is_more: bool
    options: "tuple[Offer, ...]" = ()
    asked_anew_at: datetime | None = None

    @property
    def may_ask_anew(self) -> bool:
        return self.is_over and self.asked_anew_at is None

    @property
    def ways(self) -> "tuple[Offer, ...]":
        return self.options or (self,)


def page_of(ticket: Ticket, now: datetime) -> dict[str, Any]:
    """Everything on it, in the language and the zone of the moment."""
    turn = tickets.turn_of(ticket, now)
    state = money.quote_state(ticket)
    known = known_of(ticket, now, turn=turn, state=state)
    said = read_out(known)
    offer = offer_of(ticket, state, turn, now)
    return {
        "shop": ticket.shop,
        "ticket": ticket,
        "turn": turn,
        "heading": heading(turn, offer),
        "stands": sentences(said.stands),
        "then": sentences(said.then) if offer is None else [],
        "found": _found(said, turn, state),
        "done": tickets.story_of(ticket).done if turn.whose in ENDED else "",
        "strip": stretches(turn, STRIP_WIDTH),
        "shares": _shares(turn),
        "offer": offer,
        "answer": _answered(state),
        "pay": _pay(ticket, state, turn),
        "warranty": _warranty(ticket, said, known),
        "week": week_said(ticket.shop),
        "closed_days": _closed_days(ticket.shop, known.today),
    }


def heading(turn: Turn, offer: Offer | None) -> str:
    """Whose turn it is, to the one whose machine it is."""
    if offer is not None and offer.may_answer:
        return _("It is your turn.")
    if turn.whose == Whose.HANDOVER:
        is_ready = turn.waits_for != "outcome_to_record"
        return _("It is ready.") if is_ready else _("It is nearly ready.")
    if turn.whose == Whose.SUPPLIER:
        is_part = turn.waits_for == "parts"
        return _("A part is on its way.") if is_part else _("A specialist has it.")
    return {
        Whose.OURS: _("It is our turn."),
        Whose.CUSTOMER: _("It is your turn."),
        Whose.NOBODY: _("It is back with you."),
    }[turn.whose]


def offer_of(
    ticket: Ticket, state: QuoteState, turn: Turn, now: datetime
) -> Offer | None:
    """The quote that waits for a yes or a no, or waited for it too long."""
    quote = open_quote(state)
    if quote is None or turn.whose in ENDED:
        return None
    ways = tuple(_offered(one, ticket, state, now) for one in state.open)
    offer = replace(ways[0], options=ways) if quote.option else ways[0]
    asked_at = asked_anew_at(quote) if offer.is_over else None
    return replace(offer, asked_anew_at=asked_at)


def _offered(quote: Quote, ticket: Ticket, state: QuoteState, now: datetime) -> Offer:
    is_over = quote.valid_until < now.astimezone(ticket.shop.zone).date()
    lines = [line_of(row) for row in quote.lines.all()]
    taxes = totals(lines, quote.currency).taxes
    return Offer(
        quote=quote,
        rows=tuple((line.text, _quantity(line), line.net) for line in lines),
        taxes=tuple((number_shown(part.percent), part.tax) for part in taxes),
        may_answer=not is_over,
        is_over=is_over,
        after_no=_after_no(ticket, state, now),
        is_more=state.accepted is not None,
    )


def _quantity(line: Line) -> str:
    is_plain = line.unit != MINUTE and line.quantity in {1, -1}
    return "" if is_plain else quantity_text(line)


def _after_no(ticket: Ticket, state: QuoteState, now: datetime) -> Money:
    """What is to be paid after a no: the diagnosis, tax included."""
    declined = QuoteState(state.quotes, accepted=None, is_declined=True)
    lines = money.work_lines(ticket, state=declined, at=now)
    return totals(lines, ticket.currency).total


def _found(said: Said, turn: Turn, state: QuoteState) -> str:
    """The cause in the words of the newest quote, else in those of the bench."""
    if turn.whose == Whose.NOBODY:
        return ""
    newest = state.newest
    if newest is not None and newest.cause:
        return newest.cause
    return " ".join(sentences(said.found))


def _answered(state: QuoteState) -> QuoteAnswer | None:
    """The answer to the newest quote, whoever gave it."""
    newest = state.newest
    return getattr(newest, "answer", None) if newest is not None else None


def _shares(turn: Turn) -> list[str]:
    """How long it was whose turn in all: ``with us 4 days``."""
    lengths = defaultdict[Whose, timedelta](timedelta)
    for piece in turn.pieces:
        lengths[piece.whose] += piece.length
    said = {
        Whose.OURS: _("with us %(span)s"),
        Whose.CUSTOMER: _("with you %(span)s"),
        Whose.SUPPLIER: _("waiting for others %(span)s"),
        Whose.HANDOVER: _("ready %(span)s"),
    }
    return [said[whose] % {"span": span(long)} for whose, long in lengths.items()]


def _pay(ticket: Ticket, state: QuoteState, turn: Turn) -> dict[str, Any]:
    """What is agreed, billed, paid and due: only what is certain now."""
    agreed = money.agreed(ticket, state=state)
    balance = money.balance(ticket)
    invoice = money.standing_invoice(ticket)
    accepted = state.accepted
    deposit = accepted.deposit if accepted and not invoice else None
    asked = deposit if deposit and deposit > balance.paid else None
    return {
        "is_monthly": money.is_billed_monthly(ticket),
        "invoice": invoice,
        "agreed": agreed,
        "paid": balance.paid,
        "due": balance.due if invoice else None,
        "back": -balance.due if invoice and balance.due.amount < 0 else None,
        "deposit_open": asked - balance.paid if asked else None,
        "is_ended": turn.whose in ENDED,
        "is_free": not agreed.amount,
    }


def _warranty(ticket: Ticket, said: Said, known: Known) -> str:
    """What stands on the invoice; once it is over, that it was."""
    invoice = money.standing_invoice(ticket)
    if invoice is None or known.covered_until is None:
        return ""
    if known.covered_until < known.today:
        return " ".join(sentences(said.then))
    return str(invoice.texts.get("warranty", ""))


def _closed_days(shop: Shop, today: date) -> Sequence[ClosedDay]:
    """When the shop stays closed soon."""
    soon = shop.closed_days.filter(last__gte=today, first__lte=today + SHOWN_AHEAD)
    return list(soon.order_by("first"))
