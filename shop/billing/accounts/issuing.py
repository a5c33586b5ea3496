"""One invoice over an account's tickets of a month: issued once, frozen like any.

The customer's row is locked first, then its tickets: two owners who issue the same
month wait for each other, and the second finds nothing left to bill. That no ticket is
billed twice is held by the database too (``BilledTicket``).
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.billing.account_models import AccountInvoice, BilledTicket
from shop.billing.accounts.draft import (
    Draft,
    Held,
    Share,
    common_order,
    draft_of,
    end_of,
    next_month,
    to_be_billed,
)
from shop.billing.accounts.groups import Group
from shop.billing.models import Invoice
from shop.billing.services import checks, issuing
from shop.billing.services.invoices import day_of, is_liquid, warranty_end_of
from shop.billing.wording import payment_text, warranty_text
from shop.intake.models import Customer, Ticket
from shop.people import queries as people
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@dataclass(frozen=True)
class Copies:
    """What the invoice keeps of a ticket, told by the bench and the counter."""

    story: Mapping[str, str]
    evidence: Sequence[Mapping[str, Any]]


@transaction.atomic
def account_invoice_issue(
    *,
    customer: Customer,
    month: date,
    by: Person,
    copies: Mapping[int, Copies],
    seen: str,
    held: Held | None = None,
    left_out: Collection[int] = (),
    at: datetime | None = None,
) -> Invoice:
    """Bill what was handed over until the end of ``month`` (its first day).

    ``copies`` are by ticket id, ``seen`` is the mark of the draft that was looked at,
    ``left_out`` are ticket ids that wait for another month: seen with them or without.
    """
    at = at or timezone.now()
    customer = _locked(customer)
    if at < end_of(customer.shop, month):
        raise Refused(_("This month is not over yet."))
    list(
        Ticket.objects.select_for_update()
        .filter(pk__in=[ticket.pk for ticket in to_be_billed(customer)])
        .order_by("pk")
    )
    draft = draft_of(customer, month, at, held=held, left_out=left_out)
    if draft is None:
        raise Refused(_("This is no account customer."))
    if not draft.shares:
        raise Refused(
            _("Nothing is to be billed: it may have been issued a moment ago.")
        )
    whole = draft_of(customer, month, at, held=held) if left_out else draft
    is_as_seen = seen in {draft.mark, whole.mark if whole else ""}
    if not is_as_seen or any(one.ticket.pk not in copies for one in draft.shares):
        raise Refused(_("It has changed since you looked: look again."))
    return _written(draft, by, copies, at)


def _locked(customer: Customer) -> Customer:
    rows = Customer.objects.select_for_update(of=("self",)).select_related("shop")
    return rows.get(pk=customer.pk)


def _written(
    draft: Draft, by: Person, copies: Mapping[int, Copies], at: datetime
) -> Invoice:
    shop, sums = draft.customer.shop, draft.sums
    today = checks.shop_day(shop, at)
    due_on = today + timedelta(days=draft.rules.payment_days)
    serial, number = issuing.number_take(shop, Invoice.Kind.INVOICE, today)
    groups = _groups(draft)
    with translation.override(draft.rules.language):
        payment = payment_text(shop, number, draft.due, due_on)
    invoice = Invoice(
        shop=shop,
        number=number,
        serial=serial,
        currency=shop.currency,
        seller=issuing.seller_of(shop),
        buyer=_buyer(draft),
        device={"groups": [group.copied() for group in groups]},
        story=_stories(draft, copies),
        evidence=[_evidence(one.ticket, copies[one.ticket.pk]) for one in draft.shares],
        net_minor=sums.net.minor,
        tax_minor=sums.tax.minor,
        total_minor=sums.total.minor,
        prepaid_minor=draft.prepaid.minor,
        due_on=due_on,
        texts=_texts(draft, groups, today) | {"payment": payment},
        by=by,
        issued_at=at,
    )
    lines = [line for share in draft.shares for line in share.lines]
    reasons = issuing.reasons_of(people.terms_at(shop, at))
    issuing.write_down(invoice, lines, sums, reasons)
    AccountInvoice.objects.create(
        invoice=invoice, customer=draft.customer, month=draft.month
    )
    for share in draft.shares:
        _claim(share.ticket, invoice, by, at)
    return invoice


def _buyer(draft: Draft) -> dict[str, str]:
    rules, customer = draft.rules, draft.customer
    buyer = issuing.buyer_of(customer, customer.shop)
    if rules.billing_contact:
        buyer["contact"] = rules.billing_contact
        buyer["email"] = rules.billing_email or customer.email
    return buyer


def _stories(draft: Draft, copies: Mapping[int, Copies]) -> dict[str, dict[str, str]]:
    told = {one.ticket.number: copies[one.ticket.pk].story for one in draft.shares}
    return {
        number: {key: str(story.get(key) or "") for key in issuing.STORY}
        for number, story in told.items()
    }


def _texts(draft: Draft, groups: Sequence[Group], today: date) -> dict[str, Any]:
    """``period`` begins with the oldest day on it, so that each line lies inside."""
    days = [date.fromisoformat(group.handed_over) for group in groups]
    last = next_month(draft.month) - timedelta(days=1)
    return {
        "ticket": "",
        "order_number": common_order(draft.shares, draft.rules),
        "period": [str(min(draft.month, *days)), str(last)],
        "issued_on": str(today),
        "proved_on": str(max(days)),
        "language": draft.rules.language,
    }


def _claim(ticket: Ticket, invoice: Invoice, by: Person, at: datetime) -> None:
    BilledTicket.objects.create(ticket=ticket, invoice=invoice)
    records.event_record(
        Kind.BILLED_ON_ACCOUNT,
        shop_id=ticket.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=ticket.pk,
        ids={"invoice": invoice.pk, "number": invoice.number},
    )


def _groups(draft: Draft) -> list[Group]:
    """The tickets in the order of their lines, with the warranty of each."""
    groups: list[Group] = []
    first = 1
    for share in draft.shares:
        group = _group(share, first, draft)
        groups.append(group)
        first = group.last + 1
    return groups


def _group(share: Share, first: int, draft: Draft) -> Group:
    ticket = share.ticket
    day = checks.shop_day(ticket.shop, ticket.handover.at)
    terms = people.terms_at(ticket.shop, ticket.handover.at)
    until = warranty_end_of(ticket, share.lines, terms, day)
    with translation.override(draft.rules.language):
        warranty = warranty_text(until, is_liquid=is_liquid(ticket))
    group = Group(
        ticket=ticket.number,
        model=ticket.device.model,
        serial=ticket.device.serial,
        contact=ticket.device.contact,
        order_number=share.order_number,
        handed_over=str(day),
        first=first,
        last=first + len(share.lines) - 1,
        warranty=warranty,
    )
    return replace(group, warranty_until=str(until)) if until else group


def _evidence(ticket: Ticket, copies: Copies) -> dict[str, Any]:
    rows = [dict(row) for row in copies.evidence]
    return {
        "ticket": ticket.number,
        "rows": rows,
        "came_on": day_of(rows, "before", min, ticket.shop),
        "proved_on": day_of(rows, "after", max, ticket.shop),
    }
