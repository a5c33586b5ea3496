"""The receipt of a payment, from the 80 mm roll: how much, how, what is left."""

from typing import Any

from django.db.models import Sum
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop import pdf
from shop.billing.models import Payment
from shop.intake.models import Ticket
from shop.intake.paper_language import language_of
from shop.money import Money
from shop.printing.makers import Made, made_by
from shop.printing.models import Paper
from shop.records.kinds import Kind

ROLL_MM = 80


def number_of(payment: Payment) -> str:
    """The ticket's number and the how-manieth of its payments this is."""
    before = Payment.objects.filter(ticket=payment.ticket, pk__lte=payment.pk)
    return f"{payment.ticket}/{before.count()}"


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
    ticket = payment.ticket
    if ticket is None:
        raise ValueError("A payment of no ticket has no receipt.")
    with (
        translation.override(
            language_of(ticket, Kind.PAYMENT_TAKEN, payment=payment.pk)
        ),
        timezone.override(payment.shop.zone),
    ):
        context = _context(payment, ticket)
        return render_to_string("papers/receipt.html", context)


def _context(payment: Payment, ticket: Ticket) -> dict[str, Any]:
    paid = _paid_with(payment)
    invoice = payment.invoice
    left = None if invoice is None else invoice.total - paid
    return {
        "stamp": payment.at,
        "heading": _("Receipt %(number)s") % {"number": number_of(payment)},
        "shop": payment.shop,
        "ticket": ticket,
        "payment": payment,
        "by": payment.by.name,
        "paid_how": _paid_how(payment),
        "amount": _positive(payment.amount),
        "paid": paid,
        "invoice": invoice,
        "left": left,
        "left_shown": None if left is None else _positive(left),
    }


def _paid_how(payment: Payment) -> str:
    how = {"how": Payment.Method(payment.method).label}
    if payment.amount_minor < 0:
        return _("Given back by %(how)s") % how
    return _("Paid by %(how)s") % how


def _positive(amount: Money) -> Money:
    return Money.from_minor(abs(amount.minor), amount.currency)


def _paid_with(payment: Payment) -> Money:
    """All that had been paid when this payment was taken, with it."""
    until = Payment.objects.filter(ticket=payment.ticket, pk__lte=payment.pk)
    minor = until.aggregate(sum=Sum("amount_minor"))["sum"] or 0
    return Money.from_minor(minor, payment.currency)


def receipts_of(ticket: Ticket) -> list[tuple[Payment, str]]:
    """The ticket's payments, each with the number of its receipt."""
    payments = ticket.payments.order_by("id")
    return [(one, f"{ticket.number}/{n}") for n, one in enumerate(payments, 1)]
