"""Reads of what is billed, taken back, paid and owed: of a ticket, of an invoice.

A ticket's papers and payments are one account; an invoice without a ticket is one by
itself.
"""

from collections import defaultdict
from datetime import datetime
from decimal import Decimal

from django.db.models import F, QuerySet, Sum

from shop.billing.crediting.left import LineLeft
from shop.billing.lines import line_of
from shop.billing.models import Invoice, InvoiceLine, InvoiceTax, Payment
from shop.billing.totals import TaxSum
from shop.intake.models import Ticket
from shop.money import Money, nothing

SETTLED = F("amount_minor") - F("rounding_minor")


def standing_invoice(ticket: Ticket) -> Invoice | None:
    """The ticket's invoice that no credit note has taken back as a whole."""
    return _standing(ticket, Invoice.Kind.INVOICE).last()


def standing_prepayments(ticket: Ticket) -> list[Invoice]:
    """The prepayment invoices of a ticket of which something is left."""
    return list(_standing(ticket, Invoice.Kind.PREPAYMENT))


def _standing(ticket: Ticket, kind: Invoice.Kind) -> QuerySet[Invoice]:
    rows = ticket.invoices.filter(kind=kind)
    return rows.exclude(credit_notes__is_partial=False)


def invoiced(ticket: Ticket) -> Money:
    """All that was billed, less what credit notes took back."""
    minor = ticket.invoices.aggregate(sum=Sum("total_minor"))["sum"] or 0
    return Money.from_minor(minor, ticket.currency)


def left_of(invoice: Invoice) -> Money:
    """An invoice's total, less what credit notes took back."""
    minor = invoice.credit_notes.aggregate(sum=Sum("total_minor"))["sum"] or 0
    return invoice.total + Money.from_minor(minor, invoice.currency)


def paid(ticket: Ticket) -> Money:
    """What payments have settled so far: cash rounding is not among it."""
    return _settled(ticket.payments.all(), ticket.currency)


def paid_unbilled(ticket: Ticket) -> Money:
    """What was paid and stands on no prepayment invoice: an invoice takes it off."""
    papers = standing_prepayments(ticket)
    none = Money.from_minor(0, ticket.currency)
    return max(paid(ticket) - sum((left_of(one) for one in papers), none), none)


def paid_on(invoice: Invoice) -> Money:
    """The same for an invoice without a ticket."""
    return _settled(invoice.payments.all(), invoice.currency)


def prepaid_of(invoice: Invoice, at: datetime | None = None) -> Money:
    """What was paid before it, on its tickets; free again once it is taken back."""
    whole = invoice.credit_notes.filter(is_partial=False)
    if at is not None:
        whole = whole.filter(issued_at__lte=at)
    return nothing(invoice.currency) if whole.exists() else invoice.prepaid


def due_of(invoice: Invoice) -> Money:
    """What is still to be paid on an invoice without a ticket; below zero: to give
    back.
    """
    return left_of(invoice) - prepaid_of(invoice) - paid_on(invoice)


def _settled(payments: QuerySet[Payment], currency: str) -> Money:
    minor = payments.aggregate(sum=Sum(SETTLED))["sum"] or 0
    return Money.from_minor(minor, currency)


def lines_left(invoice: Invoice) -> list[LineLeft]:
    """An invoice's lines, each with what credit notes took of it."""
    taken: dict[int, int] = defaultdict(int)
    backs = InvoiceLine.objects.filter(corrects__invoice=invoice)
    for line_id, minor in backs.values_list("corrects_id", "net_minor"):
        taken[line_id or 0] -= minor
    return [
        LineLeft(
            row.position,
            line_of(row),
            Money.from_minor(taken[row.pk], invoice.currency),
        )
        for row in invoice.lines.all()
    ]


def taxes_left(invoice: Invoice) -> list[TaxSum]:
    """What is left of each rate's sum and tax."""
    rows = InvoiceTax.objects.filter(invoice=invoice) | InvoiceTax.objects.filter(
        invoice__corrects=invoice
    )
    sums: dict[tuple[str, Decimal], tuple[int, int]] = {}
    for row in rows:
        key = row.category, row.percent
        taxable, tax = sums.get(key, (0, 0))
        sums[key] = taxable + row.taxable_minor, tax + row.tax_minor
    return [
        TaxSum(
            category,
            percent,
            Money.from_minor(taxable, invoice.currency),
            Money.from_minor(tax, invoice.currency),
        )
        for (category, percent), (taxable, tax) in sums.items()
    ]
