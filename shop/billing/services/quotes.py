"""Quotes: each version is sent once and answered once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.lines import columns_of
from shop.billing.models import Quote, QuoteAnswer, QuoteLine
from shop.billing.quote_state import LETTERS, next_version
from shop.billing.services import checks
from shop.billing.services.issuing import seller_of
from shop.billing.totals import Line, Totals, totals
from shop.intake.models import Ticket
from shop.money import Money, nothing
from shop.people import queries as people
from shop.people.models import Person, Terms
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@dataclass(frozen=True)
class Option:
    """One way that the customer may choose: its lines come to the common ones."""

    title: str
    lines: Sequence[Line]


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
    _options_or_refused(options, cap)
    terms = people.terms_at(ticket.shop, at)
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
    ways = list(zip(LETTERS, options, strict=False)) or [("", Option("", ()))]
    sent = []
    for letter, option in ways:
        own = [*lines, *option.lines]
        sums = _sums(own, ticket.currency)
        quote = Quote.objects.create(
            option=letter,
            option_title=option.title.strip(),
            net_minor=sums.net.minor,
            tax_minor=sums.tax.minor,
            total_minor=sums.total.minor,
            cap_minor=_cap(cap, sums.total, terms).minor,
            deposit_minor=_deposit(deposit, sums.total).minor,
            **common,
        )
        QuoteLine.objects.bulk_create(
            QuoteLine(quote=quote, **columns_of(line, position))
            for position, line in enumerate(own, start=1)
        )
        sent.append(quote)
    _sent_tell(sent[0], len(options))
    return sent[0]


def _options_or_refused(options: Sequence[Option], cap: Money | None) -> None:
    if len(options) == 1 or len(options) > len(LETTERS):
        raise Refused(_("Two or three options, or none."), field="lines")
    if any(not one.title.strip() for one in options):
        raise Refused(_("Say what each option is."), field="option_a")
    if options and cap is not None:
        raise Refused(
            _("Each option has its own cap: the shop’s usual share on its total."),
            field="cap",
        )


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


def _sums(lines: Sequence[Line], currency: str) -> Totals:
    if not lines:
        raise Refused(_("A quote needs at least one line."), field="lines")
    for line in lines:
        checks.same_currency(line.net, currency, field="lines")
        if not 0 <= line.tax_percent <= 100:
            raise Refused(_("Tax lies between 0 and 100 %."), field="lines")
        if line.unit_price < 0:
            raise Refused(
                _("A price is not negative: take off with a negative quantity."),
                field="lines",
            )
    sums = totals(lines, currency)
    if sums.total.amount < 0:
        raise Refused(_("The lines come to less than nothing."), field="lines")
    return sums


def _cap(cap: Money | None, total: Money, terms: Terms) -> Money:
    if cap is None:
        return total * (1 + Decimal(terms.cap_percent) / 100)
    checks.same_currency(cap, total.currency, field="cap")
    if cap < total:
        raise Refused(
            _("The quote comes to %(total)s: the cap cannot be below it.")
            % {"total": total},
            field="cap",
        )
    return cap


def _deposit(deposit: Money | None, total: Money) -> Money:
    if deposit is None:
        return nothing(total.currency)
    checks.same_currency(deposit, total.currency, field="deposit")
    if not 0 <= deposit.amount <= total.amount:
        raise Refused(
            _("A deposit lies between nothing and the whole %(total)s.")
            % {"total": total},
            field="deposit",
        )
    return deposit


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
