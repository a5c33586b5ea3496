"""What every issued paper shares: its number, its copies, its rows."""

from collections.abc import Mapping, Sequence
from datetime import date

from django.utils.translation import gettext as _

from shop.billing.einvoice.frozen import why_plain
from shop.billing.lines import columns_of
from shop.billing.models import Invoice, InvoiceLine, InvoiceTax
from shop.billing.totals import Line, Totals
from shop.intake.models import Customer, Taxed
from shop.people import ids
from shop.people.models import Shop, Terms, Untaxed
from shop.records import services as records
from shop.records.kinds import Kind

NUMBER_STARTS = {
    Invoice.Kind.INVOICE: "",
    Invoice.Kind.CREDIT_NOTE: "C",
    Invoice.Kind.PREPAYMENT: "P",
}
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
# Beside what an invoice's ``prepaid`` is: paid in the moment of issuing.
PAID_AT_ONCE = "paid_at_once"
STORY = ("told", "found", "done", "proved")


def number_take(shop: Shop, kind: Invoice.Kind, today: date) -> tuple[int, str]:
    """The next serial, which never starts again, behind the year."""
    serial = records.number_take(shop_id=shop.pk, kind=kind.value)
    return serial, f"{NUMBER_STARTS[kind]}{today.year}-{serial:04d}"


def reasons_of(terms: Terms) -> dict[str, str]:
    """Why there is no tax, by category; a rate of nothing needs no reason."""
    return {
        Untaxed.EXEMPT: terms.untaxed_reason,
        Untaxed.OUTSIDE: terms.untaxed_reason,
        Taxed.REVERSE_CHARGE: _("Reverse charge: the customer owes the tax."),
    }


def seller_of(shop: Shop) -> dict[str, str]:
    return {
        **{column: getattr(shop, column) for column in SELLER},
        "vat_id": ids.right_or_none(ids.vat_id_of, shop.tax_id, shop.country),
        "iban": ids.right_or_none(ids.iban_of, shop.account),
    }


def buyer_of(customer: Customer, shop: Shop, reference: str = "") -> dict[str, str]:
    """The customer as they are today; ``reference`` is their own, for their books."""
    return {
        **{column: getattr(customer, column) for column in BUYER},
        "country": customer.country or shop.country,
        "vat_id": ids.right_or_none(ids.vat_id_of, customer.tax_id, customer.country),
        "reference": reference,
    }


def buyer_by_name(shop: Shop, said: Mapping[str, str]) -> dict[str, str]:
    """Somebody at the counter, who need not say a name."""
    return {
        **{column: said.get(column, "").strip() for column in BUYER},
        "country": shop.country,
        "vat_id": ids.right_or_none(
            ids.vat_id_of, said.get("tax_id", ""), shop.country
        ),
        "reference": "",
    }


def write_down(
    invoice: Invoice,
    lines: Sequence[Line],
    sums: Totals,
    reasons: Mapping[str, str],
    corrected: Sequence[int] = (),
) -> None:
    """Save an invoice with its lines and taxes, and say in the story that it is.

    ``corrected`` are the ids of the lines that a credit note's lines take back.
    """
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
    rows = [
        InvoiceLine(invoice=invoice, **columns_of(line, position))
        for position, line in enumerate(lines, start=1)
    ]
    for row, line_id in zip(rows, corrected, strict=bool(corrected)):
        row.corrects_id = line_id
    InvoiceLine.objects.bulk_create(rows)
    InvoiceTax.objects.bulk_create(taxes)
    records.event_record(
        _said_by(invoice),
        shop_id=invoice.shop_id,
        by_id=invoice.by_id,
        at=invoice.issued_at,
        ticket_id=invoice.ticket_id,
        ids={"invoice": invoice.pk, "number": invoice.number},
        codes={"currency": invoice.currency},
        amounts={"total": invoice.total_minor, "prepaid": invoice.prepaid_minor},
    )


def _said_by(invoice: Invoice) -> Kind:
    """Whether work is billed now, may be billed anew, or neither."""
    if invoice.kind == Invoice.Kind.PREPAYMENT:
        return Kind.PREPAYMENT_ISSUED
    if invoice.corrects is None:
        return Kind.INVOICE_ISSUED
    is_freeing = invoice.corrects.kind == Invoice.Kind.INVOICE
    if is_freeing and not invoice.is_partial:
        return Kind.CREDIT_NOTE_ISSUED
    return Kind.PARTIAL_CREDIT_ISSUED
