"""What the next version of a quote starts from, and a draft that was kept of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import markup, queries, work
from shop.billing.accounts.price_list import DISCOUNT, discount_lines
from shop.billing.labour import rounded_up
from shop.billing.lines import line_of
from shop.billing.models import LabourKind, Quote, QuoteDraft, StockItem
from shop.billing.next_version import next_lines
from shop.billing.offers.risks import facts_of, risks_of
from shop.billing.quote_state import QuoteState, next_version
from shop.billing.rates.charges import charges_of
from shop.billing.totals import MINUTE, Line
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import FeeRule

REPAIR = f"{work.LABOUR}.repair"


def draft_of(ticket: Ticket) -> QuoteDraft | None:
    """The newest draft of the version that is to be sent next."""
    version = next_version(ticket)
    return ticket.quote_drafts.filter(version=version).order_by("-id").first()


@dataclass(frozen=True)
class Start:
    """What the form of a new quote begins with; ``letters`` of options by line."""

    lines: Sequence[Line]
    letters: Sequence[str] = ()
    titles: Mapping[str, str] = field(default_factory=dict)
    cause: str = ""
    risks: Sequence[str] = ()
    expired: Quote | None = None
    before: Quote | None = None  # of which the lines are, with what came since


def start_of(ticket: Ticket, now: datetime) -> Start:
    """The draft that was kept, else the quote before this one, else the work so far."""
    kept = draft_of(ticket)
    if kept is not None:
        lines = [line_of(row) for row in kept.lines.all()]
        return Start(lines, cause=kept.cause, risks=kept.risks.split())
    state = queries.quote_state(ticket)
    expired = state.expired(now.astimezone(ticket.shop.zone).date())
    if expired is not None:
        return replace(_again(ticket, state.open, expired, now), expired=expired)
    risks = risks_of(facts_of(ticket))
    before = _before(state)
    if before is None:
        return Start(queries.draft_lines(ticket, at=now), risks=risks)
    if len(state.open) > 1:
        return replace(_again(ticket, state.open, before, now), before=before)
    more = lines_with_more(ticket, minutes=0, at=now)
    return Start(more, cause=before.cause, risks=risks, before=before)


def _before(state: QuoteState) -> Quote | None:
    """What lies with the customer, else what is agreed; a no is nothing."""
    return state.newest if state.open else state.accepted


def _again(
    ticket: Ticket, options: Sequence[Quote], first: Quote, now: datetime
) -> Start:
    """The same once more, at the tax of today; its options with their letters."""
    prices = work.Prices.of(ticket, now)
    lettered = [
        (_taxed(line_of(row), prices), option.option)
        for option in options
        for row in option.lines.all()
    ]
    common = [
        line
        for line, letter in lettered
        if letter == first.option
        and all((line, one.option) in lettered for one in options)
    ]
    own = [(line, letter) for line, letter in lettered if line not in common]
    rows = [*((line, "") for line in common), *own]
    return Start(
        lines=[line for line, _letter in rows],
        letters=[letter for _line, letter in rows],
        titles={one.option: one.option_title for one in options if one.option},
        cause=first.cause,
        risks=risks_of(facts_of(ticket)),
    )


def _taxed(line: Line, prices: work.Prices) -> Line:
    return replace(
        line, tax_percent=prices.tax_percent, tax_category=prices.tax_category
    )


def lines_for(
    ticket: Ticket, *, minutes: int, part: str, price: Money | None, at: datetime
) -> tuple[Line, ...]:
    """A first quote: the fee, the repair with its part, and the work so far.

    A part of which nobody knows the price is there at nothing, to be filled in.
    """
    prices = work.Prices.of(ticket, at)
    bill = work.labour_of(ticket, prices)
    uses = work.standing_parts(ticket)
    repair = sum(one.logged for one in bill if one.kind == LabourKind.REPAIR)
    billed = rounded_up(repair + minutes, prices.increment)
    others = [one for one in bill if one.kind != LabourKind.REPAIR]
    lines = [
        *work.fee_lines(ticket, prices),
        *work.labour_lines(others, prices),
        *queries.an_hour_of_repair(ticket, prices, billed),
        *work.part_lines(uses, prices),
    ]
    if part:
        amount = price.amount if price is not None else Decimal(0)
        lines.append(prices.line(work.PART, part, amount))
    lines += work.flat_consumables(prices)
    lines += discount_lines(ticket, lines, prices)
    if ticket.fee_rule == FeeRule.CREDITED:
        lines += work.fee_credit_lines(ticket, prices)
    return tuple(lines)


def lines_with_more(
    ticket: Ticket,
    *,
    minutes: int,
    part: str = "",
    price: Money | None = None,
    at: datetime | None = None,
) -> tuple[Line, ...]:
    """The next version from the difference: minutes of repair and a part on top.

    An account's discount is reckoned anew on all of it.
    """
    prices = work.Prices.of(ticket, at or timezone.now())
    more = []
    if minutes:
        with prices.speaking():
            text = _("Repair")
        rate = prices.hourly_rate
        more.append(prices.line(REPAIR, text, rate, quantity=minutes, unit=MINUTE))
    if part and price is not None:
        more.append(prices.line(work.PART, part, price.amount))
    quoted = [one for one in quoted_lines(ticket) if one.code != DISCOUNT]
    done = done_lines(ticket, prices)
    lines = next_lines(quoted, done, more, increment=prices.increment)
    credit = [one for one in lines if one.code == work.FEE_CREDIT]
    others = [one for one in lines if one.code != work.FEE_CREDIT]
    return (*others, *discount_lines(ticket, others, prices), *credit)


def quoted_lines(ticket: Ticket) -> Sequence[Line]:
    quote = _before(queries.quote_state(ticket))
    return [line_of(row) for row in quote.lines.all()] if quote else []


def done_lines(ticket: Ticket, prices: work.Prices) -> Sequence[Line]:
    """The fee and the work so far, at what it will be billed; consumables with it."""
    bill = work.labour_of(ticket, prices)
    uses = work.standing_parts(ticket)
    lines = [
        *work.fee_lines(ticket, prices),
        *work.labour_lines(bill, prices),
        *work.part_lines(uses, prices),
        *work.flat_consumables(prices),
    ]
    if ticket.fee_rule == FeeRule.CREDITED:
        lines += work.fee_credit_lines(ticket, prices)
    return lines


def price_on_the_shelf(ticket: Ticket, part_id: str) -> tuple[str, Money] | None:
    """A part of that class from the shelf, with what it costs the customer."""
    items = StockItem.objects.filter(shop=ticket.shop, part_id=part_id, on_hand__gt=0)
    item = items.order_by("-on_hand", "id").first() if part_id else None
    if item is None or item.currency != ticket.currency:
        return None
    return item.name, markup.price_of(item.cost, charges_of(ticket).tiers())
