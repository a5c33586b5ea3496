"""Prepayment invoices: for an advance, where the shop's rules say so.

Whether an advance needs an invoice with its tax is for local law to say; the setting
is dated. The invoice of the work takes them off, line by line, each at its own tax.
"""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.billing import inclusive, owing, work
from shop.billing.models import Invoice
from shop.billing.services import checks, issuing
from shop.billing.totals import Line, totals
from shop.billing.wording import long_date
from shop.intake.models import Ticket
from shop.money import Money
from shop.people import queries as people
from shop.people.models import Person
from shop.records.errors import Refused

PREPAYMENT = "prepayment"


@transaction.atomic
def prepayment_issue(
    *, ticket: Ticket, by: Person, amount: Money, at: datetime | None = None
) -> Invoice:
    """An invoice over an advance of ``amount``, tax in it, at the usual rate."""
    at = at or timezone.now()
    ticket = checks.ticket_locked(ticket)
    checks.same_currency(amount, ticket.currency, field="amount")
    terms = people.terms_at(ticket.shop, at)
    untaxed_as = ticket.customer.taxed or terms.untaxed_as
    line = _line(ticket, amount, at).lawful(untaxed_as)
    sums = totals([line], ticket.currency)
    today = checks.shop_day(ticket.shop, at)
    serial, number = issuing.number_take(ticket.shop, Invoice.Kind.PREPAYMENT, today)
    with translation.override(ticket.customer.language):
        payment = _("Paid, thank you.")
    paper = Invoice(
        shop=ticket.shop,
        kind=Invoice.Kind.PREPAYMENT,
        number=number,
        serial=serial,
        ticket=ticket,
        currency=ticket.currency,
        seller=issuing.seller_of(ticket.shop),
        buyer=issuing.buyer_of(ticket.customer, ticket.shop, ticket.their_reference),
        device={"model": ticket.device.model, "serial": ticket.device.serial},
        story={},
        evidence=[],
        net_minor=sums.net.minor,
        tax_minor=sums.tax.minor,
        total_minor=sums.total.minor,
        due_on=today,
        texts={
            "ticket": ticket.number,
            "issued_on": str(today),
            "language": ticket.customer.language,
            "payment": payment,
            issuing.PAID_AT_ONCE: str(amount.minor),
        },
        by=by,
        issued_at=at,
    )
    issuing.write_down(paper, [line], sums, issuing.reasons_of(terms))
    return paper


def _line(ticket: Ticket, amount: Money, at: datetime) -> Line:
    percent = work.Prices.of(ticket, at).tax_percent
    with translation.override(ticket.customer.language):
        text = _("Prepayment for ticket %(number)s") % {"number": ticket.number}
    priced = inclusive.Priced(
        code=PREPAYMENT,
        text=text,
        quantity=inclusive.ONE_PIECE,
        gross_each=amount,
        tax_percent=percent,
    )
    try:
        (line,) = inclusive.lines_of([priced])
    except inclusive.NoSuchPrice as refusal:
        raise no_such_price(refusal, field="amount") from refusal
    return line


def no_such_price(refusal: inclusive.NoSuchPrice, *, field: str) -> Refused:
    """No net price comes to it; the nearest ones that can be said."""
    said = _("No price before tax comes to %(gross)s.")
    if refusal.nearest:
        said = _("No price before tax comes to %(gross)s: take %(below)s or %(above)s.")
    below, above = refusal.nearest or (refusal.gross, refusal.gross)
    values = {"gross": refusal.gross, "below": below, "above": above}
    return Refused(said % values, field=field)


def deductions(papers: Sequence[Invoice], language: str) -> list[Line]:
    """What an invoice takes off for prepayment invoices: a line for each rate."""
    with translation.override(language):
        return [
            Line.priced(
                code=PREPAYMENT,
                text=_("Less prepayment invoice %(number)s of %(day)s")
                % {"number": paper.number, "day": _day_of(paper)},
                quantity=-inclusive.ONE_PIECE,
                unit_price=part.taxable.amount,
                tax_percent=part.percent,
                tax_category=part.category,
                currency=paper.currency,
            )
            for paper in papers
            for part in owing.taxes_left(paper)
            if part.taxable
        ]


def _day_of(paper: Invoice) -> str:
    return long_date(date.fromisoformat(paper.texts["issued_on"]))
