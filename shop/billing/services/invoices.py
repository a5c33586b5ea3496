"""Invoices and credit notes: issued once, numbered without gaps, never edited.

A ticket has at most one invoice that stands, so that no minute and no part is
billed twice; a credit note frees its work to be billed again.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.billing import beyond, owing, queries, work
from shop.billing.models import Invoice
from shop.billing.services import checks, issuing
from shop.billing.services.prepayments import deductions
from shop.billing.totals import Line, Totals, totals
from shop.billing.wording import payment_text, warranty_text
from shop.intake.models import Answer, Ticket
from shop.people import queries as people
from shop.people.models import Person, Shop, Terms
from shop.records.errors import Refused


@transaction.atomic
def invoice_issue(
    *,
    ticket: Ticket,
    by: Person,
    evidence: Sequence[Mapping[str, Any]],
    story: Mapping[str, str],
    device: Mapping[str, str],
    warranty_until: date | None = None,
    is_up_to_cap: bool = False,
    at: datetime | None = None,
) -> Invoice:
    """Bill a ticket's work so far, with copies of all that the paper shows.

    Beyond what was agreed it is refused, unless it ``is_up_to_cap``: then the rest is
    taken off in a line.
    """
    at = at or timezone.now()
    ticket = checks.ticket_locked(ticket)
    terms = people.terms_at(ticket.shop, at)
    billed = lines_or_refused(ticket, at, is_up_to_cap=is_up_to_cap)
    untaxed_as = ticket.customer.taxed or terms.untaxed_as
    lines = [line.lawful(untaxed_as) for line in billed]
    advances = owing.standing_prepayments(ticket)
    lines += deductions(advances, ticket.customer.language)
    sums = sums_or_refused(lines, advances, ticket.currency)
    today = checks.shop_day(ticket.shop, at)
    prepaid = min(owing.paid_unbilled(ticket), sums.total)
    until = warranty_until or warranty_end_of(ticket, lines, terms, today)
    due_on = today + timedelta(days=terms.payment_days)
    serial, number = issuing.number_take(ticket.shop, Invoice.Kind.INVOICE, today)
    with translation.override(ticket.customer.language):
        due = sums.total - prepaid
        sentences = {
            "payment": payment_text(ticket.shop, number, due, due_on),
            "warranty": warranty_text(until, is_liquid=is_liquid(ticket)),
        }
    invoice = Invoice(
        shop=ticket.shop,
        number=number,
        serial=serial,
        ticket=ticket,
        currency=ticket.currency,
        seller=issuing.seller_of(ticket.shop),
        buyer=issuing.buyer_of(ticket.customer, ticket.shop, ticket.their_reference),
        device=dict(device),
        story={key: str(story.get(key) or "") for key in issuing.STORY},
        evidence=[dict(row) for row in evidence],
        net_minor=sums.net.minor,
        tax_minor=sums.tax.minor,
        total_minor=sums.total.minor,
        prepaid_minor=prepaid.minor,
        due_on=due_on,
        warranty_until=until,
        texts={
            "ticket": ticket.number,
            "quote": _quote_of(ticket),
            "issued_on": str(today),
            "language": ticket.customer.language,
            "came_on": day_of(evidence, "before", min, ticket.shop),
            "proved_on": day_of(evidence, "after", max, ticket.shop),
            **sentences,
        },
        by=by,
        issued_at=at,
    )
    issuing.write_down(invoice, lines, sums, issuing.reasons_of(terms))
    return invoice


def lines_or_refused(
    ticket: Ticket, at: datetime, *, is_up_to_cap: bool = False
) -> tuple[Line, ...]:
    standing = queries.standing_invoice(ticket) or queries.monthly_invoice(ticket)
    if standing is not None:
        raise Refused(
            _("Invoice %(number)s bills this ticket already.")
            % {"number": standing.number}
        )
    lines = queries.work_lines(ticket, at=at)
    if not lines:
        raise Refused(_("There is nothing to bill yet."))
    agreed = queries.agreed(ticket, lines=lines, at=at)
    if agreed.left.amount < 0 and is_up_to_cap:
        return beyond.up_to_cap(lines, agreed.cap, work.Prices.of(ticket, at))
    if agreed.left.amount < 0:
        raise Refused(
            _(
                "This comes to %(used)s, but the customer has agreed to %(cap)s: "
                "send a new quote first."
            )
            % {"used": agreed.used, "cap": agreed.cap}
        )
    return lines


def sums_or_refused(
    lines: Sequence[Line], advances: Sequence[Invoice], currency: str
) -> Totals:
    """The sums of lines that take ``advances`` off; never below nothing."""
    sums = totals(lines, currency)
    if advances and sums.total.amount < 0:
        raise Refused(
            _(
                "This bill is less than prepayment invoice %(number)s: issue a credit "
                "note over that one first."
            )
            % {"number": advances[-1].number}
        )
    return sums


def is_liquid(ticket: Ticket) -> bool:
    return ticket.liquid == Answer.YES


def warranty_end_of(
    ticket: Ticket, lines: Sequence[Line], terms: Terms, today: date
) -> date | None:
    """Warranty is given on a repair, shorter after liquid; not on a look."""
    repairs = {f"{work.LABOUR}.{kind}" for kind in work.HANDS_ON}
    codes = {line.code for line in lines}
    is_fixed_job = any(code.startswith(f"{work.FIXED_JOB}.") for code in codes)
    if not is_fixed_job and not codes & {*repairs, work.PART, work.FIXED}:
        return None
    days = terms.liquid_warranty_days if is_liquid(ticket) else terms.warranty_days
    return today + timedelta(days=days) if days else None


def day_of(
    evidence: Sequence[Mapping[str, Any]],
    side: str,
    pick: Callable[[list[str]], str],
    shop: Shop,
) -> str:
    """The first day of the readings before, or the last of those after."""
    halves = [row.get(side) or {} for row in evidence]
    moments = [half["at"] for half in halves if half.get("at")]
    if not moments:
        return ""
    return str(checks.shop_day(shop, datetime.fromisoformat(pick(moments))))


def _quote_of(ticket: Ticket) -> str:
    accepted = queries.quote_state(ticket).accepted
    return f"{ticket.number}/{accepted.version}{accepted.option}" if accepted else ""
