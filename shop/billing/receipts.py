"""The receipt of a payment, from the 80 mm roll: how much, how, what is left."""

from typing import Any

from django.db.models import Q, QuerySet, Sum
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop import pdf
from shop.billing import owing
from shop.billing.account_models import PaidTogether
from shop.billing.models import Invoice, Payment
from shop.intake.models import Ticket
from shop.intake.paper_language import language_of
from shop.money import Money, total
from shop.printing.makers import Made, made_by
from shop.printing.models import Paper
from shop.records.kinds import Kind

ROLL_MM = 80


def number_of(payment: Payment) -> str:
    """The number of ticket or invoice, and the how-manieth of its payments this is."""
    before = _beside(payment).filter(pk__lte=payment.pk)
    return f"{payment.ticket or payment.invoice}/{before.count()}"


def _beside(payment: Payment) -> QuerySet[Payment]:
    """The payments on the same account: of a ticket, or of an invoice by itself."""
    if payment.ticket is not None:
        return payment.ticket.payments.all()
    return Payment.objects.filter(invoice=payment.invoice)


def offer() -> None:
    """Let the printing room print receipts."""
    made_by("receipt", gettext_lazy("Receipt"), Paper.RECEIPT, _made)


def _made(pk: int, part: int) -> Made:
    roll = receipt(Payment.objects.select_related("shop", "ticket").get(pk=pk))
    return Made(roll.body, roll.media)


def receipt(payment: Payment) -> pdf.Roll:
    html = receipt_html(payment)
    return pdf.render_strips([html], width_mm=ROLL_MM, stamp=payment.at)


def receipt_html(payment: Payment) -> str:
    with (
        translation.override(_language_of(payment)),
        timezone.override(payment.shop.zone),
    ):
        return render_to_string("papers/receipt.html", _context(payment))


def _language_of(payment: Payment) -> str:
    if payment.ticket is not None:
        return language_of(payment.ticket, Kind.PAYMENT_TAKEN, payment=payment.pk)
    assert payment.invoice is not None, "a payment is for something"
    return str(payment.invoice.texts.get("language", "en"))


def together_with(payment: Payment) -> list[Payment]:
    """The payments of the sum of money that this one is of, itself among them."""
    link = PaidTogether.objects.filter(payment=payment).first()
    if link is None:
        return [payment]
    rows = Payment.objects.filter(together__first=link.first_id)
    return list(rows.select_related("shop", "invoice", "by").order_by("id"))


def _context(payment: Payment) -> dict[str, Any]:
    together = together_with(payment)
    if len(together) > 1:
        return _context_of_sum(together)
    paid = _paid_with(payment)
    invoice = payment.invoice
    is_prepayment = invoice is not None and invoice.kind == Invoice.Kind.PREPAYMENT
    left, billed = None, None
    before = Money.from_minor(0, payment.currency)
    if invoice is not None and not is_prepayment:
        billed = _billed_at(payment, invoice)
        left = billed - paid
        if invoice.ticket is None:
            before = owing.prepaid_of(invoice, payment.at)
            left -= before
    return {
        "stamp": payment.at,
        "heading": _("Receipt %(number)s") % {"number": number_of(payment)},
        "shop": payment.shop,
        "ticket": payment.ticket,
        "payment": payment,
        "is_prepayment": is_prepayment,
        "by": payment.by.name,
        "paid_how": _paid_how(payment),
        "amount": _positive(payment.amount),
        "rounding": payment.rounding,
        "paid": paid,
        "invoice": invoice,
        "billed": billed,
        "before": before,
        "left": left,
        "left_shown": None if left is None else _positive(left),
    }


def _context_of_sum(together: list[Payment]) -> dict[str, Any]:
    """One receipt for a sum that paid several invoices: it names each of them."""
    first = together[0]
    currency = first.currency
    return {
        "stamp": first.at,
        "heading": _("Receipt %(number)s") % {"number": number_of(first)},
        "shop": first.shop,
        "payment": first,
        "by": first.by.name,
        "paid_how": _paid_how(first),
        "amount": total([one.amount for one in together], currency),
        "rounding": total([one.rounding for one in together], currency),
        "buyer": first.invoice.buyer.get("name", "") if first.invoice else "",
        "parts": [(one.invoice, one.settled, _left_after(one)) for one in together],
    }


def _left_after(payment: Payment) -> Money:
    """What was left to pay on the payment's invoice just after it."""
    assert payment.invoice is not None, "an account pays invoices"
    invoice = payment.invoice
    before = owing.prepaid_of(invoice, payment.at)
    return _billed_at(payment, invoice) - before - _paid_with(payment)


def _paid_how(payment: Payment) -> str:
    how = {"how": Payment.Method(payment.method).label}
    if payment.amount_minor < 0:
        return _("Given back by %(how)s") % how
    return _("Paid by %(how)s") % how


def _positive(amount: Money) -> Money:
    return Money.from_minor(abs(amount.minor), amount.currency)


def _paid_with(payment: Payment) -> Money:
    """All that had been paid when this payment was taken, with it."""
    until = _beside(payment).filter(pk__lte=payment.pk)
    minor = until.aggregate(sum=Sum(owing.SETTLED))["sum"] or 0
    return Money.from_minor(minor, payment.currency)


def _billed_at(payment: Payment, invoice: Invoice) -> Money:
    """What was billed on this account, less credit notes, when it was paid."""
    beside = Q(corrects=invoice)
    if payment.ticket is not None:
        beside = Q(ticket=payment.ticket)
    until = Invoice.objects.filter(
        Q(pk=invoice.pk) | beside & Q(issued_at__lte=payment.at)
    )
    minor = until.aggregate(sum=Sum("total_minor"))["sum"] or 0
    return Money.from_minor(minor, payment.currency)


def receipts_of(ticket: Ticket) -> list[tuple[Payment, str]]:
    """The ticket's payments, each with the number of its receipt."""
    return _numbered(ticket.number, ticket.payments.all())


def receipts_on(invoice: Invoice) -> list[tuple[Payment, str]]:
    """The same of an invoice without a ticket."""
    rows = invoice.payments.select_related("shop", "invoice", "by").order_by("id")
    return [(one, number_of(together_with(one)[0])) for one in rows]


def _numbered(account: str, payments: QuerySet[Payment]) -> list[tuple[Payment, str]]:
    rows = payments.order_by("id")
    return [(one, f"{account}/{n}") for n, one in enumerate(rows, start=1)]
