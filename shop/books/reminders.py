"""The letter that asks for payment, and the e-mail that carries it.

In the language of the invoice. No fee for being late is asked for: whether a shop may,
and how much, is the local law's, and the letter claims nothing of that.
"""

from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop import pdf
from shop.billing.models import Invoice
from shop.billing.wording import long_date
from shop.books import queries
from shop.books.dated import day_of
from shop.books.models import PaymentReminder
from shop.people.logos import logo_at
from shop.records.messages import Withheld, Wording
from shop.records.models import OutgoingMessage
from shop.records.senders import EMAIL, Paper


def word(message: OutgoingMessage) -> Wording:
    """The e-mail; withheld where the invoice was paid meanwhile."""
    reminder = _of(message)
    invoice = reminder.invoice
    if queries.owed_of(invoice) <= 0:
        raise Withheld("over")
    if message.text:
        return Wording(
            message.channel,
            message.to,
            message.subject,
            message.text,
            message.reply_to,
        )
    to = address_of(invoice)
    if not to:
        raise Withheld("no_address")
    with translation.override(reminder.language):
        said = _context(reminder)
        text = render_to_string("books/reminder.txt", said)
    return Wording(EMAIL, to, said["heading"], text.strip(), invoice.shop.email)


def paper(message: OutgoingMessage) -> Paper:
    reminder = _of(message)
    return Paper(f"{reminder.invoice.number}-{reminder.level}.pdf", letter(reminder))


def _of(message: OutgoingMessage) -> PaymentReminder:
    rows = PaymentReminder.objects.select_related("invoice__shop", "invoice__ticket")
    return rows.get(pk=int(message.paper))


def address_of(invoice: Invoice) -> str:
    """The customer's e-mail now, else that on the invoice."""
    customer = invoice.ticket.customer if invoice.ticket else None
    return str((customer and customer.email) or invoice.buyer.get("email") or "")


def letter(reminder: PaymentReminder) -> bytes:
    """The same bytes as long as the row stands."""
    logo = logo_at(reminder.invoice.shop, reminder.at)
    return pdf.render(letter_html(reminder), stamp=reminder.at, logo=logo)


def letter_html(reminder: PaymentReminder) -> str:
    with translation.override(reminder.language):
        context = _context(reminder)
        with timezone.override(reminder.invoice.shop.zone):
            return render_to_string("papers/payment_reminder.html", context)


def _context(reminder: PaymentReminder) -> dict[str, Any]:
    invoice, shop = reminder.invoice, reminder.invoice.shop
    headings = {
        1: _("Invoice %(number)s: a reminder"),
        2: _("Invoice %(number)s: second reminder"),
        3: _("Invoice %(number)s: last reminder"),
    }
    return {
        "reminder": reminder,
        "invoice": invoice,
        "shop": shop,
        "seller": shop,
        "buyer": invoice.buyer,
        "device": invoice.device,
        "ticket": invoice.texts.get("ticket", ""),
        "heading": headings[reminder.level] % {"number": invoice.number},
        "issued_on": long_date(day_of(reminder.at, shop)),
        "invoice_day": long_date(day_of(invoice.issued_at, shop)),
        "due_day": long_date(invoice.due_on),
        "has_logo": bool(logo_at(shop, reminder.at)),
        "paper_size": shop.paper_size,
        "stamp": reminder.at,
    }
