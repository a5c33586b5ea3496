"""What is asked for by time alone: an unanswered quote, a machine nobody collects.

Asked for outside opening hours it waits until the shop opens. Days are days of the
shop's calendar.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.utils import timezone

from shop.billing.models import Quote
from shop.intake import queries
from shop.intake.models import Ticket
from shop.intake.turn import Whose
from shop.messaging.told_ready import ready_since
from shop.people import queries as people
from shop.people.hours import is_open, next_opening
from shop.people.models import Shop, Terms, TextKind
from shop.people.opening_hours import hours_of
from shop.records import jobs, messages
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event, OutgoingMessage

DAY = timedelta(days=1)
ANSWER = "answer_to_quote"
# A notice by mail and one on paper are at least so far apart (jd).
NOTICES_APART = timedelta(days=7)
UNCLAIMED = (
    TextKind.UNCLAIMED_FIRST,
    TextKind.UNCLAIMED_SECOND,
    TextKind.UNCLAIMED_LAST,
)


def job() -> None:
    now = timezone.now()
    for shop in Shop.objects.order_by("id"):
        if jobs.may_go_on() and messages.may_send(shop.pk):
            remind(shop, now)


def remind(shop: Shop, now: datetime) -> None:
    try:
        terms = people.terms_at(shop, now)
    except Terms.DoesNotExist:
        return
    for quote in quotes_to_remind_of(shop, terms, now):
        _ask_about_quote(quote, now)
    unclaimed = Ticket.objects.filter(shop=shop, handover=None, outcome__isnull=False)
    tickets = list(unclaimed.select_related("shop"))
    since = ready_since(tickets)
    for ticket in tickets:
        if (told := since.get(ticket.pk)) is not None:
            _notice(ticket, told, terms, now)


def quotes_to_remind_of(shop: Shop, terms: Terms, now: datetime) -> Iterator[Quote]:
    """Open ones whose customer has heard nothing for some days."""
    today = now.astimezone(shop.zone).date()
    open_ones = Quote.objects.filter(
        ticket__shop=shop,
        ticket__handover=None,
        ticket__outcome=None,
        answer=None,
        valid_until__gte=today,
    ).select_related("ticket__shop")
    in_order = open_ones.order_by("version", "-option")  # the first option counts
    by_ticket = {quote.ticket_id: quote for quote in in_order}
    tickets = [quote.ticket for quote in by_ticket.values()]
    for pk, turn in queries.turns_of(tickets, now).items():
        is_asked = turn.whose == Whose.CUSTOMER and turn.waits_for == ANSWER
        silent_on = turn.silent_since.astimezone(shop.zone).date()
        is_due = silent_on + terms.quote_reminder_days * DAY <= today
        is_newest = turn.details.get("quote") == by_ticket[pk].pk
        if is_asked and is_due and is_newest:
            yield by_ticket[pk]


def _ask_about_quote(quote: Quote, now: datetime) -> None:
    sent = Event.objects.filter(
        ticket_id=quote.ticket_id, kind=Kind.QUOTE_SENT, ids__quote=quote.pk
    )
    event = sent.order_by("id").last()
    _ask(quote.ticket, TextKind.QUOTE_REMINDER, quote.pk, now, event)


def _notice(ticket: Ticket, told: datetime, terms: Terms, now: datetime) -> None:
    """The next of the three notices, if its day has come.

    One that comes late moves those behind it: they keep their distance.
    """
    today = now.astimezone(ticket.shop.zone).date()
    days_of = (
        terms.unclaimed_first_days,
        terms.unclaimed_second_days,
        terms.unclaimed_last_days,
    )
    stages = zip(UNCLAIMED, days_of, strict=True)
    from_day, waited = told.astimezone(ticket.shop.zone).date(), 0
    for kind, days in stages:
        asked = OutgoingMessage.objects.filter(message_id=_id(kind, ticket.pk)).first()
        if asked is None:
            is_due = from_day + (days - waited) * DAY <= today
            if is_due and not _has_letter(ticket, now):
                _ask(ticket, kind, ticket.pk, now)
            return
        from_day, waited = asked.queued_at.astimezone(ticket.shop.zone).date(), days


def _has_letter(ticket: Ticket, now: datetime) -> bool:
    """Whether a notice on paper went out these days: the mail waits for its turn."""
    letters = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.NOTICE_GIVEN)
    return letters.filter(at__gt=now - NOTICES_APART).exists()


def notice_mailed(ticket: Ticket, now: datetime) -> OutgoingMessage | None:
    """The notice by mail that went out these days, or is about to."""
    rows = OutgoingMessage.objects.filter(
        ticket_id=ticket.pk,
        kind__in=[kind.value for kind in UNCLAIMED],
        withheld="",
        given_up_at=None,
        queued_at__gt=now - NOTICES_APART,
    )
    return rows.exclude(sent_by="file").order_by("id").last()


def _ask(
    ticket: Ticket,
    kind: TextKind,
    about: int,
    now: datetime,
    event: Event | None = None,
) -> None:
    records.message_ask(
        shop_id=ticket.shop_id,
        ticket_id=ticket.pk,
        message_id=_id(kind, about),
        kind=kind.value,
        about_event_id=event.pk if event else None,
        not_before=_in_hours(ticket.shop, now),
    )


def _id(kind: TextKind, about: int) -> str:
    return f"{kind.value}-{about}"


def _in_hours(shop: Shop, now: datetime) -> datetime:
    """Now, or when the shop opens next; a shop without hours has no quiet ones."""
    hours = hours_of(shop)
    if is_open(hours, now):
        return now
    return next_opening(hours, now) or now
