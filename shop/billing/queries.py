"""Reads of money that other rooms share: work, agreed amount, balance."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any

from django.db.models import QuerySet, Sum
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import work
from shop.billing.models import Invoice, OrderLine, Quote, StockItem, StockMove
from shop.billing.shelf import kept
from shop.billing.totals import MINUTE, Line, totals
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import FeeRule, Shop
from shop.records.kinds import Kind
from shop.records.models import Event


@dataclass(frozen=True)
class QuoteState:
    """What a ticket's quotes come to. The newest yes is what is agreed."""

    quotes: tuple[Quote, ...]
    accepted: Quote | None
    is_declined: bool

    @property
    def newest(self) -> Quote | None:
        return self.quotes[-1] if self.quotes else None


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


@dataclass(frozen=True)
class Balance:
    """``invoiced`` less credit notes; ``due`` also counts work not billed yet."""

    invoiced: Money
    paid: Money
    due: Money


def quote_state(ticket: Ticket) -> QuoteState:
    quotes = tuple(ticket.quotes.select_related("answer").order_by("version"))
    answered = [quote for quote in quotes if hasattr(quote, "answer")]
    accepted = [quote for quote in answered if quote.answer.is_yes]
    return QuoteState(
        quotes=quotes,
        accepted=accepted[-1] if accepted else None,
        is_declined=bool(answered) and not accepted,
    )


def work_lines(
    ticket: Ticket,
    *,
    state: QuoteState | None = None,
    at: datetime | None = None,
    running: Iterable[tuple[str, int]] = (),
) -> tuple[Line, ...]:
    """What the ticket's work comes to now; after a no, the fee and the reassembly.

    With ``running`` minutes by kind it is an estimate; papers are made without.
    """
    state = state or quote_state(ticket)
    prices = work.Prices.of(ticket, at or timezone.now())
    fee = _fee_and_end(ticket, state, prices)
    if state.is_declined:
        return tuple(fee)
    lines = fee + _done(ticket, prices, state.accepted, running)
    if ticket.fee_rule == FeeRule.CREDITED and state.accepted:
        lines += work.fee_credit_lines(ticket, prices)
    return tuple(lines)


def _fee_and_end(ticket: Ticket, state: QuoteState, prices: work.Prices) -> list[Line]:
    """The fee; after a no also what putting it together again was agreed at."""
    fee = work.fee_lines(ticket, prices)
    return fee + (work.reassembly_lines(ticket, prices) if state.is_declined else [])


def draft_lines(ticket: Ticket, *, at: datetime | None = None) -> tuple[Line, ...]:
    """Lines to start a quote from: the work so far, and an hour of repair."""
    prices = work.Prices.of(ticket, at or timezone.now())
    done = _done(ticket, prices, None)
    if not any(line.code == "labour.repair" for line in done):
        done[:0] = [
            prices.line(
                "labour.repair",
                _("Repair"),
                prices.hourly_rate,
                quantity=60,
                unit=MINUTE,
            )
        ]
        if not any(line.code == work.CONSUMABLES for line in done):
            done += work.flat_consumables(prices)
    lines = work.fee_lines(ticket, prices) + done
    if ticket.fee_rule == FeeRule.CREDITED:
        lines += work.fee_credit_lines(ticket, prices)
    return tuple(lines)


def _done(
    ticket: Ticket,
    prices: work.Prices,
    accepted: Quote | None,
    running: Iterable[tuple[str, int]] = (),
) -> list[Line]:
    bill = work.labour_of(ticket, prices, running)
    uses = work.standing_parts(ticket)
    return [
        *work.labour_lines(bill, prices),
        *work.part_lines(uses, prices),
        *work.fixed_lines(accepted),
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


def standing_invoice(ticket: Ticket) -> Invoice | None:
    """The ticket's invoice that no credit note has taken back."""
    return ticket.invoices.filter(kind=Invoice.Kind.INVOICE, credit_notes=None).last()


def paid(ticket: Ticket) -> Money:
    minor = ticket.payments.aggregate(sum=Sum("amount_minor"))["sum"] or 0
    return Money.from_minor(minor, ticket.currency)


def balance(ticket: Ticket, *, lines: Sequence[Line] | None = None) -> Balance:
    minor = ticket.invoices.aggregate(sum=Sum("total_minor"))["sum"] or 0
    received = paid(ticket)
    standing = standing_invoice(ticket)
    if standing is not None:
        to_pay = standing.total
    else:
        lines = work_lines(ticket) if lines is None else lines
        to_pay = totals(lines, ticket.currency).total
    return Balance(
        invoiced=Money.from_minor(minor, ticket.currency),
        paid=received,
        due=to_pay - received,
    )


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


def quote_get(ticket: Ticket, version: int) -> Quote:
    """A version of a ticket's quote; ``Http404`` where it was never sent."""
    quote = ticket.quotes.filter(version=version).select_related("answer").first()
    if quote is None:
        raise Http404(str(version))
    return quote


def tax_percent_now(ticket: Ticket) -> Decimal:
    return work.Prices.of(ticket, timezone.now()).tax_percent
