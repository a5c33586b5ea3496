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

from shop.billing import beyond, queries, work
from shop.billing.einvoice.frozen import why_plain
from shop.billing.lines import columns_of, line_of
from shop.billing.models import Invoice, InvoiceLine, InvoiceTax
from shop.billing.services import checks
from shop.billing.totals import Line, Totals, totals
from shop.billing.wording import payment_text, warranty_text
from shop.intake.models import Answer, Taxed, Ticket
from shop.people import ids
from shop.people import queries as people
from shop.people.models import Person, Shop, Terms, Untaxed
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

NUMBER_STARTS = {Invoice.Kind.INVOICE: "", Invoice.Kind.CREDIT_NOTE: "C"}
SELLER = (
    "name",
    "street",
    "town",
    "country",
    "phone",
    "email",
    "tax_id",
    "account",
    "paper_size",
)
BUYER = ("name", "address", "email", "tax_id")
STORY = ("told", "found", "done", "proved")


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
    billed = _lines_or_refused(ticket, at, is_up_to_cap=is_up_to_cap)
    untaxed_as = ticket.customer.taxed or terms.untaxed_as
    lines = [line.lawful(untaxed_as) for line in billed]
    sums = totals(lines, ticket.currency)
    today = checks.shop_day(ticket.shop, at)
    prepaid = min(queries.paid(ticket), sums.total)
    until = warranty_until or _warranty_until(ticket, lines, terms, today)
    due_on = today + timedelta(days=terms.payment_days)
    serial, number = _number_take(ticket.shop, Invoice.Kind.INVOICE, today)
    with translation.override(ticket.customer.language):
        due = sums.total - prepaid
        sentences = {
            "payment": payment_text(ticket.shop, number, due, due_on),
            "warranty": warranty_text(until, is_liquid=_is_liquid(ticket)),
        }
    invoice = Invoice(
        shop=ticket.shop,
        number=number,
        serial=serial,
        ticket=ticket,
        currency=ticket.currency,
        seller=_seller(ticket.shop),
        buyer=_buyer(ticket),
        device=dict(device),
        story={key: str(story.get(key) or "") for key in STORY},
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
            "came_on": _day_of(evidence, "before", min, ticket.shop),
            "proved_on": _day_of(evidence, "after", max, ticket.shop),
            **sentences,
        },
        by=by,
        issued_at=at,
    )
    _write_down(invoice, lines, sums, _reasons(terms))
    return invoice


@transaction.atomic
def credit_note_issue(
    *, invoice: Invoice, by: Person, reason: str = "", at: datetime | None = None
) -> Invoice:
    """Take a whole invoice back; its work may be billed anew.

    The ``reason`` stands on the paper.
    """
    at = at or timezone.now()
    if invoice.kind != Invoice.Kind.INVOICE:
        raise Refused(_("A credit note is not credited itself."))
    invoice = Invoice.objects.select_for_update(of=("self",)).get(pk=invoice.pk)
    if invoice.credit_notes.exists():
        raise Refused(_("This invoice was taken back already."))
    lines = [line_of(row).taken_back() for row in invoice.lines.all()]
    sums = totals(lines, invoice.currency)
    kind = Invoice.Kind.CREDIT_NOTE
    today = checks.shop_day(invoice.shop, at)
    serial, number = _number_take(invoice.shop, kind, today)
    note = Invoice(
        shop=invoice.shop,
        kind=kind,
        number=number,
        serial=serial,
        ticket=invoice.ticket,
        corrects=invoice,
        currency=invoice.currency,
        seller=_seller(invoice.shop),
        buyer=invoice.buyer,
        device=invoice.device,
        story={},
        evidence=[],
        net_minor=sums.net.minor,
        tax_minor=sums.tax.minor,
        total_minor=sums.total.minor,
        due_on=today,
        texts={
            "ticket": invoice.texts["ticket"],
            "reason": reason,
            "issued_on": str(today),
            "language": invoice.texts.get("language", "en"),
        },
        by=by,
        issued_at=at,
    )
    reasons = {part.category: part.reason for part in invoice.taxes.all()}
    _write_down(note, lines, sums, reasons)
    return note


def _lines_or_refused(
    ticket: Ticket, at: datetime, *, is_up_to_cap: bool
) -> tuple[Line, ...]:
    standing = queries.standing_invoice(ticket)
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


def _number_take(shop: Shop, kind: Invoice.Kind, today: date) -> tuple[int, str]:
    """The next serial, which never starts again, behind the year."""
    serial = records.number_take(shop_id=shop.pk, kind=kind.value)
    return serial, f"{NUMBER_STARTS[kind]}{today.year}-{serial:04d}"


def _is_liquid(ticket: Ticket) -> bool:
    return ticket.liquid == Answer.YES


def _warranty_until(
    ticket: Ticket, lines: Sequence[Line], terms: Terms, today: date
) -> date | None:
    """Warranty is given on a repair, shorter after liquid; not on a look."""
    repairs = {f"{work.LABOUR}.{kind}" for kind in work.HANDS_ON}
    codes = {line.code for line in lines}
    is_fixed_job = any(code.startswith(f"{work.FIXED_JOB}.") for code in codes)
    if not is_fixed_job and not codes & {*repairs, work.PART, work.FIXED}:
        return None
    days = terms.liquid_warranty_days if _is_liquid(ticket) else terms.warranty_days
    return today + timedelta(days=days) if days else None


def _day_of(
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


def _reasons(terms: Terms) -> dict[str, str]:
    """Why there is no tax, by category; a rate of nothing needs no reason."""
    return {
        Untaxed.EXEMPT: terms.untaxed_reason,
        Untaxed.OUTSIDE: terms.untaxed_reason,
        Taxed.REVERSE_CHARGE: _("Reverse charge: the customer owes the tax."),
    }


def _quote_of(ticket: Ticket) -> str:
    accepted = queries.quote_state(ticket).accepted
    return f"{ticket.number}/{accepted.version}{accepted.option}" if accepted else ""


def _seller(shop: Shop) -> dict[str, str]:
    return {
        **{column: getattr(shop, column) for column in SELLER},
        "vat_id": ids.right_or_none(ids.vat_id_of, shop.tax_id, shop.country),
        "iban": ids.right_or_none(ids.iban_of, shop.account),
    }


def _buyer(ticket: Ticket) -> dict[str, str]:
    customer = ticket.customer
    return {
        **{column: getattr(customer, column) for column in BUYER},
        "country": customer.country or ticket.shop.country,
        "vat_id": ids.right_or_none(ids.vat_id_of, customer.tax_id, customer.country),
        "reference": ticket.their_reference,
    }


def _write_down(
    invoice: Invoice,
    lines: Sequence[Line],
    sums: Totals,
    reasons: Mapping[str, str],
) -> None:
    """Save an invoice with its lines and taxes, and say in the story that it is."""
    taxes = [
        InvoiceTax(
            invoice=invoice,
            category=part.category,
            basis_points=int(part.percent.scaleb(2)),
            currency=invoice.currency,
            taxable_minor=part.taxable.minor,
            tax_minor=part.tax.minor,
            reason=reasons.get(part.category, ""),
        )
        for part in sums.taxes
    ]
    invoice.plain_because = why_plain(invoice, lines, taxes)
    invoice.save(force_insert=True)
    InvoiceLine.objects.bulk_create(
        InvoiceLine(invoice=invoice, **columns_of(line, position))
        for position, line in enumerate(lines, start=1)
    )
    InvoiceTax.objects.bulk_create(taxes)
    is_invoice = invoice.kind == Invoice.Kind.INVOICE
    records.event_record(
        Kind.INVOICE_ISSUED if is_invoice else Kind.CREDIT_NOTE_ISSUED,
        shop_id=invoice.shop_id,
        by_id=invoice.by_id,
        at=invoice.issued_at,
        ticket_id=invoice.ticket_id,
        ids={"invoice": invoice.pk, "number": invoice.number},
        codes={"currency": invoice.currency},
        amounts={"total": invoice.total_minor, "prepaid": invoice.prepaid_minor},
    )
