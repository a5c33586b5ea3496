"""What the monthly invoice of an account would say now. Reads, never writes.

The preview shows it, and issuing writes down the same: ``mark`` tells whether what
was seen is still what there is.
"""

import hashlib
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db.models import Count, QuerySet
from django.utils.translation import gettext as _

from shop.billing import owing, queries
from shop.billing.services.invoices import lines_or_refused, sums_or_refused
from shop.billing.services.prepayments import deductions
from shop.billing.totals import Line, Totals, totals
from shop.intake import accounts
from shop.intake.account_models import AccountTerms
from shop.intake.models import Customer, Ticket
from shop.money import Money, total
from shop.people import queries as people
from shop.people.models import Shop
from shop.records.errors import Refused

# Why a ticket has to wait for a reason that billing can't know; empty: it need not.
Held = Callable[[Ticket], str]


@dataclass(frozen=True)
class Share:
    """What one ticket brings to the invoice, or why it waits (``held``)."""

    ticket: Ticket
    lines: tuple[Line, ...]
    order_number: str
    held: str = ""

    @property
    def net(self) -> Money:
        return total([line.net for line in self.lines], self.ticket.currency)


@dataclass(frozen=True)
class Draft:
    """``shares`` are billed, ``waiting`` is not; ``prepaid`` was paid on tickets."""

    customer: Customer
    rules: AccountTerms
    month: date
    shares: tuple[Share, ...]
    waiting: tuple[Share, ...]
    sums: Totals
    prepaid: Money

    @property
    def due(self) -> Money:
        return self.sums.total - self.prepaid

    @property
    def mark(self) -> str:
        """What was seen: every ticket with each of its lines, and what is due."""
        seen = [f"{self.month} {self.due.minor}"]
        for share in self.shares:
            seen.append(f"{share.ticket.pk} {share.order_number}")
            seen += [f"{line.text} {line.quantity} {line.net}" for line in share.lines]
        return hashlib.sha256("\n".join(seen).encode()).hexdigest()[:32]


def to_be_billed(customer: Customer, before: datetime | None = None) -> list[Ticket]:
    """What was handed over and no invoice bills; by machine, then by number."""
    rows = customer.tickets.filter(
        handover__isnull=False, handover__is_undone=False, billed_on=None
    )
    if before is not None:
        rows = rows.filter(handover__at__lt=before)
    related = ("shop", "customer", "device", "handover")
    found = rows.select_related(*related).annotate(papers=Count("invoices"))
    return [
        ticket
        for ticket in found.order_by("device__model", "device__serial", "serial")
        if not ticket.papers or queries.standing_invoice(ticket) is None
    ]


def draft_of(
    customer: Customer,
    month: date,
    at: datetime,
    *,
    held: Held | None = None,
    left_out: Collection[int] = (),
) -> Draft | None:
    """The draft for what was handed over by the end of ``month``; None: no account."""
    rules = accounts.rules_at(customer, at)
    if rules is None:
        return None
    tickets = to_be_billed(customer, end_of(customer.shop, month))
    shares = [_share(ticket, rules, at, held) for ticket in tickets]
    billed = [
        one for one in shares if not one.held and one.ticket.pk not in set(left_out)
    ]
    waiting = [one for one in shares if one not in billed]
    currency = customer.shop.currency
    sums = totals([line for one in billed for line in one.lines], currency)
    paid = total([owing.paid_unbilled(one.ticket) for one in billed], currency)
    return Draft(
        customer=customer,
        rules=rules,
        month=month,
        shares=tuple(billed),
        waiting=tuple(one for one in waiting if one.lines or one.held),
        sums=sums,
        prepaid=min(paid, sums.total),
    )


def _share(
    ticket: Ticket, rules: AccountTerms, at: datetime, held: Held | None
) -> Share:
    order_number = ticket.order_number or rules.order_number
    try:
        lines = _lines(ticket, rules, at)
    except Refused as refused:
        return Share(ticket, (), order_number, str(refused))
    return Share(ticket, lines, order_number, _why_held(ticket, rules, held))


def _lines(ticket: Ticket, rules: AccountTerms, at: datetime) -> tuple[Line, ...]:
    """The work, less what prepayment invoices billed of it before."""
    terms = people.terms_at(ticket.shop, at)
    untaxed_as = ticket.customer.taxed or terms.untaxed_as
    work = [line.lawful(untaxed_as) for line in lines_or_refused(ticket, at)]
    advances = owing.standing_prepayments(ticket)
    lines = [*work, *deductions(advances, rules.language)]
    sums_or_refused(lines, advances, ticket.currency)
    return tuple(lines)


def _why_held(ticket: Ticket, rules: AccountTerms, held: Held | None) -> str:
    if rules.needs_order and not ticket.order_number and not rules.order_number:
        return _("The order number is missing.")
    if ticket.currency != ticket.shop.currency:
        return _("It is in %(currency)s: bill it by itself.") % {
            "currency": ticket.currency
        }
    return held(ticket) if held else ""


def end_of(shop: Shop, month: date) -> datetime:
    """The first moment of the next month, by the shop's clock."""
    return datetime.combine(next_month(month), time(), shop.zone)


def next_month(month: date) -> date:
    return date(month.year + month.month // 12, month.month % 12 + 1, 1)


def accounts_of(shop: Shop) -> QuerySet[Customer]:
    rows = shop.customers.filter(is_account=True, joined_to=None, erased_at=None)
    return rows.select_related("shop").order_by("name", "id")


def common_order(shares: Sequence[Share], rules: AccountTerms) -> str:
    """The one order number of all of it (BT-13), else the standing one."""
    numbers = {share.order_number for share in shares}
    return numbers.pop() if len(numbers) == 1 else rules.order_number
