"""Money of an account: one transfer pays its open invoices, the oldest first."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.accounts.statement import open_at
from shop.billing.models import Payment
from shop.billing.services import checks
from shop.billing.services.payments import payment_keep
from shop.intake.models import Customer
from shop.money import Money, nothing, total
from shop.people.models import Person
from shop.records.errors import Refused


@transaction.atomic
def account_payment_take(
    *,
    customer: Customer,
    by: Person,
    amount: Money,
    method: str,
    reference: str = "",
    number: str = "",
    at: datetime | None = None,
) -> list[Payment]:
    """Take a payment for one invoice (``number``), or for all that is open.

    A payment for each invoice that it pays; more than is due is refused.
    """
    at = at or timezone.now()
    rows = Customer.objects.select_for_update(of=("self",)).select_related("shop")
    customer = rows.get(pk=customer.pk)
    if method not in Payment.Method:
        raise Refused(_("Say how it was paid."), field="method")
    checks.same_currency(amount, customer.shop.currency, field="amount")
    if amount.amount <= 0:
        raise Refused(_("Nothing is no payment."), field="amount")
    # Whatever was taken by now counts, also what is written down for a later moment.
    until = max(at, timezone.now()) + timedelta(seconds=1)
    found = [
        one
        for one in open_at(customer, until)
        if one.invoice.ticket_id is None and number in {"", one.invoice.number}
    ]
    due = total([one.due for one in found], amount.currency)
    if amount > due:
        raise Refused(_("Only %(limit)s is due.") % {"limit": due}, field="amount")
    taken = []
    left = amount
    for one in found:
        part = min(left, one.due)
        if part == nothing(part.currency):
            break
        payment = Payment(
            shop=customer.shop,
            invoice=one.invoice,
            currency=part.currency,
            amount_minor=part.minor,
            method=method,
            reference=reference,
            by=by,
            at=at,
        )
        taken.append(payment_keep(payment))
        left = left - part
    return taken
