"""Credit notes: an invoice taken back, whole or in part; never more than is left."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.billing import owing, queries
from shop.billing.accounts.groups import regrouped
from shop.billing.crediting.left import Note, TooMuch, note_of
from shop.billing.models import Invoice
from shop.billing.selling import returns
from shop.billing.services import checks, issuing
from shop.money import Money
from shop.people.models import Person
from shop.records.errors import Refused


@transaction.atomic
def credit_note_issue(
    *,
    invoice: Invoice,
    by: Person,
    reason: str = "",
    takes: Mapping[int, Money] | None = None,
    shelved: Mapping[int, int] | None = None,
    at: datetime | None = None,
) -> Invoice:
    """Take an invoice back, or ``takes`` of it: the net by the place of its line.

    What is taken back whole may be billed anew. The ``reason`` stands on the paper.
    ``shelved`` are the pieces of a sale that come back to the shelf, by the same place.
    """
    at = at or timezone.now()
    if invoice.kind == Invoice.Kind.CREDIT_NOTE:
        raise Refused(_("A credit note is not credited itself."))
    invoice = _locked(invoice)
    if invoice.credit_notes.filter(is_partial=False).exists():
        raise Refused(_("This invoice was taken back already."))
    _refuse_if_deducted(invoice)
    note = _note_or_refused(invoice, takes)
    kind = Invoice.Kind.CREDIT_NOTE
    today = checks.shop_day(invoice.shop, at)
    serial, number = issuing.number_take(invoice.shop, kind, today)
    paper = Invoice(
        shop=invoice.shop,
        kind=kind,
        number=number,
        serial=serial,
        ticket=invoice.ticket,
        corrects=invoice,
        is_partial=note.is_partial,
        currency=invoice.currency,
        seller=issuing.seller_of(invoice.shop),
        buyer=invoice.buyer,
        device=regrouped(invoice.device, note.places),
        story={},
        evidence=[],
        net_minor=note.sums.net.minor,
        tax_minor=note.sums.tax.minor,
        total_minor=note.sums.total.minor,
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
    issuing.write_down(paper, note.lines, note.sums, reasons, _corrected(invoice, note))
    returns.shelve(paper, shelved or {}, by=by, at=at)
    return paper


def _locked(invoice: Invoice) -> Invoice:
    """The invoice's row, locked, after its ticket's: as every act about money does."""
    if invoice.ticket is not None:
        checks.ticket_locked(invoice.ticket)
    return Invoice.objects.select_for_update(of=("self",)).get(pk=invoice.pk)


def _refuse_if_deducted(invoice: Invoice) -> None:
    """A prepayment invoice stays while the invoice stands that it is taken off."""
    if invoice.kind != Invoice.Kind.PREPAYMENT or invoice.ticket is None:
        return
    ticket = invoice.ticket
    standing = owing.standing_invoice(ticket) or queries.monthly_invoice(ticket)
    if standing is not None:
        raise Refused(
            _("It is taken off invoice %(number)s: take that one back first.")
            % {"number": standing.number}
        )


def _note_or_refused(invoice: Invoice, takes: Mapping[int, Money] | None) -> Note:
    for money in (takes or {}).values():
        checks.same_currency(money, invoice.currency, field="takes")

    def part_of(text: str) -> str:
        with translation.override(invoice.texts.get("language", "en")):
            return (_("Part of: %(line)s") % {"line": text})[:200]

    try:
        return note_of(
            owing.lines_left(invoice),
            owing.taxes_left(invoice),
            takes=takes,
            part_text=part_of,
        )
    except TooMuch as refusal:
        field = f"line_{refusal.place}" if refusal.place else "takes"
        said = _("Only %(left)s is left of it.") % {"left": refusal.left}
        raise Refused(said, field=field) from refusal


def _corrected(invoice: Invoice, note: Note) -> list[int]:
    pk_at = dict(invoice.lines.values_list("position", "pk"))
    return [pk_at[place] for place in note.places]
