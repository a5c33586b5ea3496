"""Money in and money back.

Before an invoice money is an advance: taken up to what the customer has said
yes to, or what the work has come to. After it, up to what is due. A typing
error of a digit is so refused at the counter, not found in the books. Money
back is a negative payment, at most what was paid.
"""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import queries
from shop.billing.models import Invoice, Payment
from shop.billing.services import checks
from shop.intake import paper_language
from shop.intake.models import Ticket
from shop.money import Money, nothing
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def payment_take(
    *,
    shop: Shop,
    by: Person,
    amount: Money,
    method: str,
    ticket: Ticket | None = None,
    invoice: Invoice | None = None,
    reference: str = "",
    at: datetime | None = None,
) -> Payment:
    """Take a payment for a ticket or its invoice; negative: give it back."""
    at = at or timezone.now()
    ticket = checks.ticket_locked(_ticket_of(shop, ticket, invoice))
    if method not in Payment.Method:
        raise Refused(_("Say how it was paid."), field="method")
    checks.same_currency(amount, ticket.currency, field="amount")
    if (monthly := queries.monthly_invoice(ticket)) is not None:
        raise Refused(
            _("It is on invoice %(number)s of the account: take the payment there.")
            % {"number": monthly.number}
        )
    standing = queries.standing_invoice(ticket)
    if invoice is not None and invoice != standing:
        raise Refused(_("This invoice was taken back by a credit note."))
    _fits_or_refused(ticket, standing, amount, at)
    payment = Payment.objects.create(
        shop=shop,
        ticket=ticket,
        invoice=standing,
        currency=amount.currency,
        amount_minor=amount.minor,
        method=method,
        reference=reference,
        by=by,
        at=at,
    )
    records.event_record(
        Kind.PAYMENT_TAKEN,
        shop_id=shop.pk,
        by_id=by.pk,
        at=at,
        ticket_id=ticket.pk,
        ids={"payment": payment.pk},
        codes={
            "method": method,
            "currency": amount.currency,
            **paper_language.kept(ticket),
        },
        amounts={"amount": amount.minor},
    )
    return payment


def _ticket_of(shop: Shop, ticket: Ticket | None, invoice: Invoice | None) -> Ticket:
    found = invoice.ticket if invoice is not None else ticket
    if found is None or found.shop_id != shop.pk or ticket not in {None, found}:
        raise Refused(_("A payment is for a ticket of this shop or its invoice."))
    return found


def _fits_or_refused(
    ticket: Ticket, standing: Invoice | None, amount: Money, at: datetime
) -> None:
    if not amount:
        raise Refused(_("Nothing is no payment."), field="amount")
    paid = queries.paid(ticket)
    if amount.amount < 0:
        if (paid + amount).amount < 0:
            raise Refused(_("Only %(paid)s was paid.") % {"paid": paid}, field="amount")
        return
    limit = max(_limit(ticket, standing, at) - paid, nothing(ticket.currency))
    if amount > limit:
        text = (
            _("Only %(limit)s is due.")
            if standing
            else _(
                "Only %(limit)s more can be taken before the customer agrees to more."
            )
        )
        raise Refused(text % {"limit": limit}, field="amount")


def _limit(ticket: Ticket, standing: Invoice | None, at: datetime) -> Money:
    if standing:
        return standing.total
    agreed = queries.agreed(ticket, at=at)
    return max(agreed.cap, agreed.used)
