"""What the quotes of a ticket come to: which lies with the customer, what was said."""

from dataclasses import dataclass
from datetime import date, datetime

from shop.billing.models import Quote
from shop.intake.models import Ticket
from shop.records.kinds import Kind
from shop.records.models import Event

LETTERS = "ABC"  # of the options of a version


@dataclass(frozen=True)
class QuoteState:
    """What a ticket's quotes come to. The newest yes is what is agreed."""

    quotes: tuple[Quote, ...]
    accepted: Quote | None
    is_declined: bool

    @property
    def options(self) -> tuple[Quote, ...]:
        """The newest version: one quote, or its options."""
        if not self.quotes:
            return ()
        newest = self.quotes[-1].version
        return tuple(one for one in self.quotes if one.version == newest)

    @property
    def newest(self) -> Quote | None:
        """The newest version: the option that was answered, else its first."""
        answered = [one for one in self.options if hasattr(one, "answer")]
        return next(iter((*answered, *self.options)), None)

    @property
    def open(self) -> tuple[Quote, ...]:
        """What waits for an answer, expired or not."""
        is_answered = any(hasattr(one, "answer") for one in self.options)
        return () if is_answered else self.options

    def expired(self, today: date) -> Quote | None:
        """The quote that nobody answered while it was valid."""
        first = next(iter(self.open), None)
        return first if first is not None and first.valid_until < today else None


def quote_state(ticket: Ticket) -> QuoteState:
    rows = ticket.quotes.select_related("answer").order_by("version", "option")
    answered = [quote for quote in rows if hasattr(quote, "answer")]
    accepted = [quote for quote in answered if quote.answer.is_yes]
    return QuoteState(
        quotes=tuple(rows),
        accepted=accepted[-1] if accepted else None,
        is_declined=bool(answered) and not accepted,
    )


def asked_anew_at(quote: Quote) -> datetime | None:
    """When the customer asked for a new price in place of this quote."""
    rows = Event.objects.filter(
        ticket_id=quote.ticket_id, kind=Kind.NEW_PRICE_ASKED, ids__quote=quote.pk
    )
    return rows.order_by("id").values_list("at", flat=True).first()


def next_version(ticket: Ticket) -> int:
    """The number of the version that is to be sent next."""
    sent = ticket.quotes.order_by("-version").values_list("version", flat=True)
    return (sent.first() or 0) + 1
