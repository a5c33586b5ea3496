"""Quotes: each version is sent once and answered once."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.lines import columns_of
from shop.billing.models import Quote, QuoteAnswer, QuoteLine
from shop.billing.offers.ways import Option, Way, ways_of
from shop.billing.quote_state import next_version
from shop.billing.services import checks
from shop.billing.services.issuing import seller_of
from shop.billing.totals import Line
from shop.intake.models import Ticket
from shop.money import Money
from shop.people import queries as people
from shop.people.models import Person, Terms
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def quote_send(
    *,
    ticket: Ticket,
    by: Person,
    lines: Sequence[Line] = (),
    options: Sequence[Option] = (),
    cap: Money | None = None,
    deposit: Money | None = None,
    cause: str = "",
    risk: str = "",
    valid_until: date | None = None,
    at: datetime | None = None,
) -> Quote:
    """Send the next version of a ticket's quote; the one before is over.

    With ``options`` it is one row for each, of which the customer picks one; the
    first is handed back. The caps of options are the shop's usual share on each.
    """
    at = at or timezone.now()
    ticket = checks.ticket_locked(ticket)
    terms = people.terms_at(ticket.shop, at)
    ways = ways_of(
        ticket, terms, lines=lines, options=options, cap=cap, deposit=deposit
    )
    today = checks.shop_day(ticket.shop, at)
    common: dict[str, Any] = {
        "ticket": ticket,
        "version": next_version(ticket),
        "currency": ticket.currency,
        "cause": cause,
        "risk": risk,
        "valid_until": _valid_until(valid_until, today, terms),
        "seller": seller_of(ticket.shop),
        "by": by,
        "sent_at": at,
    }
    sent = [_keep(way, common) for way in ways]
    _sent_tell(sent[0], len(options))
    return sent[0]


def _keep(way: Way, common: dict[str, Any]) -> Quote:
    quote = Quote.objects.create(
        option=way.letter,
        option_title=way.title,
        net_minor=way.sums.net.minor,
        tax_minor=way.sums.tax.minor,
        total_minor=way.sums.total.minor,
        cap_minor=way.cap.minor,
        deposit_minor=way.deposit.minor,
        **common,
    )
    QuoteLine.objects.bulk_create(
        QuoteLine(quote=quote, **columns_of(line, position))
        for position, line in enumerate(way.lines, start=1)
    )
    return quote


def _sent_tell(quote: Quote, options: int) -> None:
    ticket = quote.ticket
    records.event_record(
        Kind.QUOTE_SENT,
        shop_id=ticket.shop_id,
        by_id=quote.by_id,
        at=quote.sent_at,
        ticket_id=ticket.pk,
        ids={"quote": quote.pk, "version": quote.version},
        codes={
            "currency": quote.currency,
            "valid_until": str(quote.valid_until),
            "language": ticket.customer.language,
        },
        amounts={"total": quote.total_minor, "cap": quote.cap_minor}
        if not options
        else {"options": options},
    )


@transaction.atomic
def quote_answer(
    *,
    quote: Quote,
    is_yes: bool,
    answered_by: str,
    channel: str,
    recorded_by: Person | None,
    decline_reason: str = "",
    at: datetime | None = None,
) -> QuoteAnswer:
    """Keep the customer's yes or no. The first answer stands."""
    at = at or timezone.now()
    ticket = checks.ticket_locked(quote.ticket)
    quote = ticket.quotes.select_related("answer").get(pk=quote.pk)
    _is_open_or_refused(quote, ticket, at)
    _is_known_answer_or_refused(is_yes, answered_by, channel, decline_reason)
    answer = QuoteAnswer.objects.create(
        quote=quote,
        of_version=f"{ticket.pk}/{quote.version}",
        is_yes=is_yes,
        decline_reason=decline_reason,
        answered_by=answered_by,
        channel=channel,
        total_minor=quote.total_minor,
        recorded_by=recorded_by,
        at=at,
    )
    records.event_record(
        Kind.QUOTE_ACCEPTED if is_yes else Kind.QUOTE_DECLINED,
        shop_id=ticket.shop_id,
        by_id=recorded_by.pk if recorded_by else None,
        at=at,
        ticket_id=ticket.pk,
        ids={"quote": quote.pk, "version": quote.version},
        codes={
            "channel": channel,
            "decline_reason": decline_reason,
            "currency": quote.currency,
            "option": quote.option,
        },
        amounts={"total": quote.total_minor} if is_yes or not quote.option else {},
    )
    return answer


def _valid_until(asked: date | None, today: date, terms: Terms) -> date:
    if asked is None:
        return today + timedelta(days=terms.quote_valid_days)
    if asked < today:
        raise Refused(_("This day is over."), field="valid_until")
    return asked


def _is_open_or_refused(quote: Quote, ticket: Ticket, at: datetime) -> None:
    first = QuoteAnswer.objects.filter(
        quote__ticket=ticket, quote__version=quote.version
    ).first()
    if first is not None:
        raise Refused(_first_answer(first))
    newest = next_version(ticket) - 1
    if newest != quote.version:
        raise Refused(
            _("Quote %(old)s was replaced by quote %(new)s: answer that one.")
            % {"old": quote.version, "new": newest}
        )
    if checks.shop_day(ticket.shop, at) > quote.valid_until:
        raise Refused(
            _("Quote %(version)s was valid until %(day)s: send a new one.")
            % {"version": quote.version, "day": quote.valid_until}
        )


def _first_answer(answer: QuoteAnswer) -> str:
    values = {"who": answer.answered_by, "channel": answer.get_channel_display()}
    values["option"] = answer.quote.option
    if answer.is_yes and answer.quote.option:
        return (
            _("Already answered: yes to option %(option)s, by %(who)s, %(channel)s.")
            % values
        )
    if answer.is_yes:
        return _("Already answered: yes, by %(who)s, %(channel)s.") % values
    return _("Already answered: no, by %(who)s, %(channel)s.") % values


def _is_known_answer_or_refused(
    is_yes: bool, answered_by: str, channel: str, decline_reason: str
) -> None:
    if not answered_by.strip():
        raise Refused(_("Say who answered."), field="answered_by")
    if channel not in QuoteAnswer.Channel:
        raise Refused(_("Say how the answer came."), field="channel")
    if decline_reason and is_yes:
        raise Refused(_("A yes has no reason to decline."), field="decline_reason")
    if decline_reason and decline_reason not in QuoteAnswer.DeclineReason:
        raise Refused(_("This reason is not known."), field="decline_reason")
