"""What an account is sent by e-mail: its monthly invoice, and its statement.

Asked for by a person, worded and made when the message's turn comes, as often as it is
asked for: what was lost on its way is sent again.
"""

from datetime import date

from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.billing import papers
from shop.billing import queries as money
from shop.billing.accounts.statement import Statement, due_of, statement_of
from shop.billing.accounts.statement_views import statement_paper
from shop.billing.models import Invoice
from shop.billing.wording import long_date
from shop.intake import accounts
from shop.intake.models import Customer
from shop.messaging.wording import as_it_stands
from shop.people.models import Shop, TextKind
from shop.people.opening_hours import week_said
from shop.people.text_fields import fill, subject_and_body
from shop.people.texts import words_of
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.messages import Withheld, Wording
from shop.records.models import OutgoingMessage
from shop.records.senders import EMAIL, Paper
from shop.shown import date_format

KINDS = (TextKind.ACCOUNT_INVOICE, TextKind.STATEMENT)


def address_of(customer: Customer) -> str:
    """Who gets the invoices, else the customer."""
    rules = accounts.rules_at(customer, timezone.now())
    return (rules.billing_email if rules else "") or customer.email


def messages_of(customer: Customer) -> list[OutgoingMessage]:
    """What this account was sent, or is to be, the newest first."""
    ids = [customer.pk, *customer.joined.values_list("pk", flat=True)]
    return list(OutgoingMessage.objects.filter(customer_id__in=ids).order_by("-id"))


@transaction.atomic
def invoice_mail(*, customer: Customer, invoice: Invoice) -> OutgoingMessage:
    """Send a monthly invoice, or a credit note to one, to its account."""
    return _asked(customer, TextKind.ACCOUNT_INVOICE, invoice.number)


@transaction.atomic
def statement_mail(*, customer: Customer, first: date, last: date) -> OutgoingMessage:
    """Send the statement from the first day to the last."""
    if last < first:
        raise Refused(_("It ends before it begins."))
    return _asked(customer, TextKind.STATEMENT, f"{customer.pk}/{first}/{last}")


def _asked(customer: Customer, kind: TextKind, paper: str) -> OutgoingMessage:
    Customer.objects.select_for_update(of=("self",)).get(pk=customer.pk)
    if not address_of(customer):
        raise Refused(_("The customer has given no e-mail address."))
    of_shop = OutgoingMessage.objects.filter(shop_id=customer.shop_id, kind=kind)
    before = of_shop.filter(paper=paper).count()
    return records.message_ask(
        shop_id=customer.shop_id,
        ticket_id=None,
        customer_id=customer.pk,
        message_id=f"{kind.value}-{customer.shop_id}-{paper}-{before + 1}",
        kind=kind.value,
        paper=paper,
    )


def invoice_word(message: OutgoingMessage) -> Wording:
    customer = _customer(message)
    invoice = money.invoice_get(customer.shop, message.paper)
    language = str(invoice.texts.get("language") or customer.language)
    return _worded(message, customer, language, _of_invoice(invoice, language))


def statement_word(message: OutgoingMessage) -> Wording:
    customer = _customer(message)
    rules = accounts.rules_at(customer, timezone.now())
    language = rules.language if rules else customer.language
    found = _statement(message, customer)
    return _worded(message, customer, language, _of_statement(found, language))


def _worded(
    message: OutgoingMessage, customer: Customer, language: str, own: dict[str, str]
) -> Wording:
    if message.text:
        return as_it_stands(message)
    to, shop = address_of(customer), customer.shop
    if not to:
        raise Withheld("no_address")
    text = words_of(shop, timezone.now(), language, message.kind)
    with translation.override(language), timezone.override(shop.zone):
        values = _of_house(customer, shop) | own
    subject, body = subject_and_body(fill(message.kind, text, values))
    if not subject:
        raise Withheld("no_text")
    return Wording(EMAIL, to, subject, body or subject, reply_to=shop.email)


def _of_house(customer: Customer, shop: Shop) -> dict[str, str]:
    return {
        "customer": customer.name,
        "shop": shop.name,
        "phone": shop.phone,
        "hours": ", ".join(week_said(shop)),
    }


def _of_invoice(invoice: Invoice, language: str) -> dict[str, str]:
    """A credit note, and what is paid, leave nothing to ask for."""
    due = due_of(invoice, timezone.now())
    is_owed = invoice.corrects_id is None and due.amount > 0
    with translation.override(language), timezone.override(invoice.shop.zone):
        return {
            "invoice": invoice.number,
            "month": date_format(invoice.account.month, "F Y"),
            "due_day": long_date(invoice.due_on) if is_owed else "",
            "owing": f"{due} {due.currency}" if is_owed else "",
        }


def _of_statement(found: Statement, language: str) -> dict[str, str]:
    closing = found.closing
    with translation.override(language):
        return {
            "first": long_date(found.first),
            "last": long_date(found.last),
            "balance": f"{closing} {closing.currency}",
        }


def invoice_paper(message: OutgoingMessage) -> Paper:
    invoice = money.invoice_get(_customer(message).shop, message.paper)
    return Paper(f"{invoice.number}.pdf", papers.invoice_pdf(invoice))


def statement_made(message: OutgoingMessage) -> Paper:
    found = _statement(message, _customer(message))
    body = statement_paper(found)
    return Paper(f"statement-{found.first}-{found.last}.pdf", body)


def _customer(message: OutgoingMessage) -> Customer:
    return Customer.objects.select_related("shop").get(pk__in=[message.customer_id])


def _statement(message: OutgoingMessage, customer: Customer) -> Statement:
    _pk, first, last = message.paper.split("/")
    return statement_of(customer, date.fromisoformat(first), date.fromisoformat(last))


def named(message: OutgoingMessage) -> str:
    """An invoice by its number, a statement by its days."""
    if message.kind != TextKind.STATEMENT:
        return message.paper if message.kind == TextKind.ACCOUNT_INVOICE else ""
    _pk, first, last = message.paper.split("/")
    days = {"first": long_date(date.fromisoformat(first))}
    return _("%(first)s to %(last)s") % (
        days | {"last": long_date(date.fromisoformat(last))}
    )
