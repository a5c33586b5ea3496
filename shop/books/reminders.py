"""The letter that asks for payment, and the e-mail that carries it.

In the language of the invoice, in the words that the owner has read. Ours ask for no
fee for being late: whether a shop may, and how much, is the local law's.
"""

from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation

from shop import pdf
from shop.billing.models import Invoice
from shop.billing.wording import long_date
from shop.books import queries
from shop.books.dated import day_of
from shop.books.models import PaymentReminder
from shop.intake import accounts
from shop.people.languages import spoken
from shop.people.logos import logo_at
from shop.people.message_texts import ours
from shop.people.models import TextKind
from shop.people.opening_hours import week_said
from shop.people.text_fields import fill, subject_and_body
from shop.people.texts import words_of
from shop.records.messages import Withheld, Wording
from shop.records.models import OutgoingMessage
from shop.records.senders import EMAIL, Paper

KINDS = {
    1: TextKind.REMINDER_FIRST,
    2: TextKind.REMINDER_SECOND,
    3: TextKind.REMINDER_LAST,
}


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
    subject, body = said(reminder)
    if not subject:
        raise Withheld("no_text")
    return Wording(EMAIL, to, subject, body, invoice.shop.email)


def said(reminder: PaymentReminder, *, or_ours: bool = False) -> tuple[str, str]:
    """Subject and body in the shop's words of that day.

    Words that the owner has emptied send no e-mail; the letter then has ours.
    """
    shop, kind = reminder.invoice.shop, KINDS[reminder.level]
    text = words_of(shop, reminder.at, reminder.language, kind)
    if or_ours and not text:
        text = ours(spoken(reminder.language))[kind]
    with translation.override(reminder.language), timezone.override(shop.zone):
        values = _values(reminder)
    return subject_and_body(fill(kind, text, values))


def _values(reminder: PaymentReminder) -> dict[str, str]:
    invoice, shop = reminder.invoice, reminder.invoice.shop
    return {
        "customer": str(invoice.buyer.get("name", "")),
        "shop": shop.name,
        "phone": shop.phone,
        "hours": ", ".join(week_said(shop)),
        "invoice": invoice.number,
        "invoice_day": long_date(day_of(invoice.issued_at, shop)),
        "due_day": long_date(invoice.due_on),
        "owing": f"{reminder.owed} {reminder.currency}",
        "account": shop.account,
    }


def paper(message: OutgoingMessage) -> Paper:
    reminder = _of(message)
    return Paper(f"{reminder.invoice.number}-{reminder.level}.pdf", letter(reminder))


def _of(message: OutgoingMessage) -> PaymentReminder:
    rows = PaymentReminder.objects.select_related("invoice__shop", "invoice__ticket")
    return rows.get(pk=int(message.paper))


def address_of(invoice: Invoice) -> str:
    """Where an account's invoices go, else the customer's e-mail now, else its own."""
    account = getattr(invoice, "account", None)
    if account is not None:
        rules = accounts.rules_at(account.customer, timezone.now())
        now = (rules.billing_email if rules else "") or account.customer.email
    else:
        now = invoice.ticket.customer.email if invoice.ticket else ""
    return str(now or invoice.buyer.get("email") or "")


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
    subject, body = said(reminder, or_ours=True)
    return {
        "reminder": reminder,
        "invoice": invoice,
        "shop": shop,
        "seller": shop,
        "buyer": invoice.buyer,
        "device": invoice.device,
        "ticket": invoice.texts.get("ticket", ""),
        "heading": subject,
        "body": body,
        "issued_on": long_date(day_of(reminder.at, shop)),
        "has_logo": bool(logo_at(shop, reminder.at)),
        "paper_size": shop.paper_size,
        "stamp": reminder.at,
    }
