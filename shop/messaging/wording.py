"""The words of a message when its turn comes, or why there are to be none."""

from datetime import date, datetime

from django.utils import timezone, translation

from shop.billing import papers
from shop.billing import queries as money
from shop.billing.quote_state import quote_state
from shop.intake.models import Channel, Ticket
from shop.messaging.asking import ASKS, FRESH
from shop.messaging.values import About, stays_here, values_of
from shop.people.models import TextKind
from shop.people.text_fields import fill, subject_and_body
from shop.people.texts import in_force
from shop.records.kinds import Kind
from shop.records.messages import Withheld, Wording
from shop.records.models import Event, OutgoingMessage
from shop.records.senders import EMAIL, Paper

BY_EVENTS = set(ASKS.values())
OF_QUOTES = {TextKind.QUOTE_SENT, TextKind.QUOTE_REMINDER}
AFTER_CLOSING = {TextKind.INVOICE, TextKind.THANKS}
STAYS = "{stays}"  # says what became of a machine that was not taken back
LONGEST_SUBJECT = 200


def word(message: OutgoingMessage) -> Wording:
    """Raises ``Withheld`` where nothing is to be sent: not wanted, or true no more."""
    now = timezone.now()
    ticket = _ticket(message)
    event = Event.objects.filter(pk__in=[message.about_event_id]).first()
    about = About(ticket, event, now)
    _is_news_or_withheld(message, about)
    if message.text:
        return as_it_stands(message)
    channel, to = way_to(ticket, message.kind)
    return _said(message, about, channel, to)


def as_it_stands(message: OutgoingMessage) -> Wording:
    return Wording(
        message.channel, message.to, message.subject, message.text, message.reply_to
    )


def _said(message: OutgoingMessage, about: About, channel: str, to: str) -> Wording:
    ticket = about.ticket
    language = ticket.customer.language
    text = in_force(ticket.shop, about.now, language).get(message.kind)
    if text is None:
        raise Withheld("no_text")
    if message.kind == TextKind.THANKS and stays_here(ticket) and STAYS not in text:
        raise Withheld("stays")
    with translation.override(language), timezone.override(ticket.shop.zone):
        values = values_of(about, message.kind, text)
    subject, body = subject_and_body(fill(message.kind, text, values))
    if not subject:
        raise Withheld("no_text")  # each of its lines had nothing to say
    return Wording(
        channel, to, _one_line(subject), body or subject, reply_to=ticket.shop.email
    )


def way_to(ticket: Ticket, kind: str) -> tuple[str, str]:
    """How and where the customer is written to; an invoice goes by e-mail."""
    customer = ticket.customer
    channel = EMAIL if kind == TextKind.INVOICE else customer.channel
    if channel == Channel.NONE:
        raise Withheld("no_messages")
    if channel == Channel.PHONE:
        raise Withheld("by_phone")
    to = customer.email if channel == Channel.EMAIL else customer.phone_e164
    if not to:
        raise Withheld("no_address")
    return channel, to


def _is_news_or_withheld(message: OutgoingMessage, about: About) -> None:
    ticket = about.ticket
    if message.kind == TextKind.TAKEN_IN and ticket.came_with is not None:
        raise Withheld("together")
    if _is_over(message, about):
        raise Withheld("over")
    is_late = not message.text and message.queued_at < about.now - FRESH
    if is_late and message.kind in BY_EVENTS:
        raise Withheld("late")


def _is_over(message: OutgoingMessage, about: About) -> bool:
    """Whether what it would say has been overtaken by what happened since."""
    if message.kind in AFTER_CLOSING:
        return False
    if hasattr(about.ticket, "handover"):
        return True
    if message.kind in OF_QUOTES:
        return not _is_quote_open(about)
    if message.kind == TextKind.NEW_PROMISE:
        return not _is_newest_promise(message, about)
    return False


def _is_quote_open(about: About) -> bool:
    quote, today = about.quote, _day(about.ticket, about.now)
    if quote is None or quote.valid_until < today:
        return False
    return quote in quote_state(about.ticket).open


def _is_newest_promise(message: OutgoingMessage, about: About) -> bool:
    made = Event.objects.filter(ticket_id=about.ticket.pk, kind=Kind.PROMISE_MADE)
    newest = made.order_by("id").last()
    return newest is not None and newest.pk == message.about_event_id


def _ticket(message: OutgoingMessage) -> Ticket:
    rows = Ticket.objects.select_related(
        "shop", "customer", "device", "outcome", "handover", "came_with"
    )
    return rows.get(pk__in=[message.ticket_id])


def _day(ticket: Ticket, now: datetime) -> date:
    return now.astimezone(ticket.shop.zone).date()


def _one_line(text: str) -> str:
    """A subject without what would begin another header."""
    return " ".join(text.split())[:LONGEST_SUBJECT]


def invoice_paper(message: OutgoingMessage) -> Paper:
    """The invoice that goes with its message: the same paper as at the counter."""
    invoice = money.invoice_get(_ticket(message).shop, message.paper)
    return Paper(f"{invoice.number}.pdf", papers.invoice_pdf(invoice))
