"""Reads of money that other rooms share: work, agreed amount, balance."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.utils import timezone
from django.utils.text import capfirst

from shop.billing import owing, work
from shop.billing import quote_state as quotes
from shop.billing.accounts.groups import groups_of
from shop.billing.accounts.price_list import discount_lines
from shop.billing.models import (
    Invoice,
    LabourKind,
    OrderLine,
    Quote,
    StockItem,
    StockMove,
)
from shop.billing.rates import lines as added
from shop.billing.shelf import kept
from shop.billing.totals import MINUTE, Line, totals
from shop.intake import accounts
from shop.intake.models import ClosingKind, Ticket
from shop.money import Money
from shop.people.models import FeeRule, NoFixRule, Shop
from shop.records.kinds import Kind
from shop.records.models import Event

standing_invoice = owing.standing_invoice
paid = owing.paid
QuoteState = quotes.QuoteState
quote_state = quotes.quote_state


class Source(StrEnum):
    QUOTE = "quote"
    PRE_APPROVAL = "pre_approval"
    FEE = "fee"


@dataclass(frozen=True)
class Agreed:
    """What the customer has said yes to, tax included.

    ``cap`` is how far the bill may go without asking again; ``left`` is what
    the work so far (``used``) leaves of it, negative beyond it.
    """

    amount: Money
    source: Source
    used: Money
    left: Money
    cap: Money

    @property
    def is_at_cap(self) -> bool:
        """Nothing more is agreed. A fee alone is used up from the first minute on."""
        if self.source == Source.FEE:
            return self.left.amount < 0
        return self.left.amount <= 0


@dataclass(frozen=True)
class Balance:
    """``invoiced`` less credit notes; ``due`` also counts work not billed yet.

    What an account is billed monthly is due from the account, not for the ticket.
    """

    invoiced: Money
    paid: Money
    due: Money


def work_lines(
    ticket: Ticket,
    *,
    state: QuoteState | None = None,
    at: datetime | None = None,
    running: Iterable[work.Running] = (),
) -> tuple[Line, ...]:
    """What the ticket's work comes to now; after a no, the fee and the reassembly.

    Where the board can't be mended, by the shop's rule. With ``running`` minutes it is
    an estimate; papers are made without.
    """
    state = state or quote_state(ticket)
    prices = work.Prices.of(ticket, at or timezone.now())
    fee = _fee_and_end(ticket, state, prices)
    rule = _no_fix_rule(ticket, prices)
    if rule == NoFixRule.NOTHING:
        return ()
    if state.is_declined or rule == NoFixRule.FEE:
        return tuple(fee)
    lines = fee + _done(ticket, prices, state.accepted, running)
    lines += discount_lines(ticket, lines, prices)
    if ticket.fee_rule == FeeRule.CREDITED and state.accepted and not rule:
        lines += work.fee_credit_lines(ticket, prices)
    return tuple(lines)


def _no_fix_rule(ticket: Ticket, prices: work.Prices) -> str:
    """How a board is billed that could not be mended; empty for any other."""
    outcome = getattr(ticket, "outcome", None)
    is_no_fix = outcome is not None and outcome.kind == ClosingKind.NO_FIX
    return prices.charges.no_fix if is_no_fix else ""


def _fee_and_end(ticket: Ticket, state: QuoteState, prices: work.Prices) -> list[Line]:
    """The fee; after a no also what putting it together again was agreed at."""
    fee = work.fee_lines(ticket, prices)
    return fee + (work.reassembly_lines(ticket, prices) if state.is_declined else [])


def draft_lines(ticket: Ticket, *, at: datetime | None = None) -> tuple[Line, ...]:
    """Lines to start a quote from: the work so far, and an hour of repair."""
    prices = work.Prices.of(ticket, at or timezone.now())
    done = _done(ticket, prices, None)
    if not any(line.code == "labour.repair" for line in done):
        done = [*an_hour_of_repair(ticket, prices), *done]
        if not any(line.code == work.CONSUMABLES for line in done):
            done += work.flat_consumables(prices)
    lines = work.fee_lines(ticket, prices) + done
    lines += discount_lines(ticket, done, prices)
    if ticket.fee_rule == FeeRule.CREDITED:
        lines += work.fee_credit_lines(ticket, prices)
    return tuple(lines)


def an_hour_of_repair(
    ticket: Ticket, prices: work.Prices, minutes: int = 60
) -> list[Line]:
    """Repair to begin an estimate with, and express on it where that was agreed."""
    with prices.speaking():
        text = capfirst(str(LabourKind.REPAIR.label))
    rate = prices.hourly_rate
    repair = prices.line("labour.repair", text, rate, quantity=minutes, unit=MINUTE)
    labour = [repair, *added.minimum_lines([repair], prices)]
    percent = added.express_percent(ticket, (), prices)
    return [*labour, *added.express_lines(labour, percent, prices)]


def _done(
    ticket: Ticket,
    prices: work.Prices,
    accepted: Quote | None,
    running: Iterable[work.Running] = (),
) -> list[Line]:
    quoted = added.lines_of(accepted)
    paid = added.fixed_minutes(quoted)
    bill = work.labour_of(ticket, prices, running, fixed_minutes=paid)
    uses = work.standing_parts(ticket)
    labour = work.labour_lines(bill, prices)
    labour += added.minimum_lines(labour, prices)
    fixed = added.fixed_lines(quoted, prices)
    percent = added.express_percent(ticket, quoted, prices)
    return [
        *labour,
        *work.part_lines(uses, prices),
        *fixed,
        *added.express_lines([*labour, *fixed], percent, prices),
        *work.consumables_lines(bill, uses, prices),
    ]


def agreed(
    ticket: Ticket,
    *,
    state: QuoteState | None = None,
    lines: Sequence[Line] | None = None,
    at: datetime | None = None,
) -> Agreed:
    """Approved quote with its cap, else pre-approval, else the diagnosis fee.

    After a no only the fee is agreed, and reassembly at its price. A pre-approval
    below the fee does not take the fee away, which was agreed at the counter too.
    """
    state = state or quote_state(ticket)
    if lines is None:
        lines = work_lines(ticket, state=state, at=at)
    used = totals(lines, ticket.currency).total
    source, amount, cap = _said_yes_to(ticket, state, at or timezone.now())
    return Agreed(amount=amount, source=source, used=used, left=cap - used, cap=cap)


def _said_yes_to(
    ticket: Ticket, state: QuoteState, at: datetime
) -> tuple[Source, Money, Money]:
    if state.accepted:
        return Source.QUOTE, state.accepted.total, state.accepted.cap
    prices = work.Prices.of(ticket, at)
    fee = totals(_fee_and_end(ticket, state, prices), ticket.currency).total
    pre_approved = ticket.pre_approved
    if pre_approved is not None and pre_approved > fee and not state.is_declined:
        return Source.PRE_APPROVAL, pre_approved, pre_approved
    return Source.FEE, fee, fee


def monthly_invoice(ticket: Ticket) -> Invoice | None:
    """The invoice over an account's month on which this ticket stands."""
    return Invoice.objects.filter(billed_tickets__ticket=ticket).first()


def is_billed_monthly(ticket: Ticket) -> bool:
    """Whether nothing is paid at handover: an account's, not invoiced by itself."""
    if accounts.rules_of(ticket) is None and monthly_invoice(ticket) is None:
        return False
    return standing_invoice(ticket) is None


def covered_until(ticket: Ticket) -> date | None:
    """The last day of the warranty on a ticket's work, as its invoice says it."""
    if (standing := standing_invoice(ticket)) is not None:
        return standing.warranty_until
    monthly = monthly_invoice(ticket)
    groups = groups_of(monthly.device) if monthly else ()
    own = next((one for one in groups if one.ticket == ticket.number), None)
    until = own.warranty_until if own else ""
    return date.fromisoformat(until) if until else None


def balance(ticket: Ticket, *, lines: Sequence[Line] | None = None) -> Balance:
    to_pay = billed = owing.invoiced(ticket)
    received = paid(ticket)
    if standing_invoice(ticket) is not None:
        return Balance(invoiced=billed, paid=received, due=to_pay - received)
    if is_billed_monthly(ticket):
        to_pay = received
    else:
        lines = work_lines(ticket) if lines is None else lines
        to_pay = totals(lines, ticket.currency).total
    return Balance(invoiced=billed, paid=received, due=to_pay - received)


def orders_of(ticket: Ticket) -> list[tuple[OrderLine, str]]:
    """A ticket's ordered parts, each with what ended it: arrived, ended, or nothing."""
    over = _orders_over([ticket.pk])
    return [(line, over.get(line.pk, "")) for line in ticket.order_lines.order_by("id")]


def orders_late(tickets: Sequence[Ticket], today: date) -> list[OrderLine]:
    """Parts that were due before this day and have not come, longest first."""
    late = OrderLine.objects.filter(ticket__in=tickets, due_on__lt=today, awaited__gt=0)
    return list(late.order_by("due_on", "id"))


def _orders_over(ticket_ids: Sequence[int]) -> dict[int, str]:
    """What ended each order of these tickets, by order line; one query."""
    ends = {Kind.PART_ARRIVED.value: "arrived", Kind.ORDER_ENDED.value: "ended"}
    rows = Event.objects.filter(ticket_id__in=ticket_ids, kind__in=ends)
    return {
        ids["order_line"]: ends[kind] for ids, kind in rows.values_list("ids", "kind")
    }


def work_of(ticket: Ticket) -> dict[str, Any]:
    """Time, parts and orders of a ticket as they were recorded, taken back or not."""
    related = ("reversed_by", "person")
    entries = ticket.time_entries.filter(reverses=None).select_related(*related)
    uses = ticket.part_uses.filter(reverses=None).select_related("reversed_by")
    return {
        "entries": entries,
        "uses": uses,
        "orders": orders_of(ticket),
        "kept": kept_for(ticket),
        "claims": ticket.claims.filter(end=None),
    }


def kept_for(ticket: Ticket, now: datetime | None = None) -> QuerySet[StockMove]:
    """Parts of the shelf that are kept for this ticket."""
    rows = kept.standing(now or timezone.now()).filter(ticket=ticket)
    return rows.select_related("item__place").order_by("id")


def stock_of(shop: Shop) -> QuerySet[StockItem]:
    """What is on the shelf."""
    rows = shop.stock_items.filter(on_hand__gt=0)
    return rows.select_related("place").order_by("name")


def invoice_get(shop: Shop, number: str) -> Invoice:
    """An invoice or credit note of this shop; ``Http404`` for any other."""
    invoice = (
        Invoice.objects.filter(shop=shop, number=number)
        .select_related("shop", "ticket", "corrects")
        .first()
    )
    if invoice is None:
        raise Http404(number)
    return invoice


def quote_get(ticket: Ticket, version: int, option: str = "") -> Quote:
    """A version of a ticket's quote, or an option of it; ``Http404`` for any other.

    Without an option it is the one that was answered, else the first.
    """
    asked = ticket.quotes.filter(version=version).select_related("answer")
    found = asked.filter(option=option).first() if option else None
    found = found or asked.exclude(answer=None).first() or asked.first()
    if found is None:
        raise Http404(str(version))
    return found
