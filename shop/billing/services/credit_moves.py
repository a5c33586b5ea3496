"""What a customer has paid too much on one ticket, used for another of theirs.

Nothing changes hands: two payments by the customer's credit, one back and one in,
whose sum is nothing.
"""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import owing, queries
from shop.billing.models import Payment
from shop.billing.services import checks
from shop.billing.services.payments import payment_take
from shop.intake.models import Ticket
from shop.money import Money, nothing
from shop.people.models import Person
from shop.records.errors import Refused


@transaction.atomic
def credit_move(
    *, source: Ticket, target: Ticket, by: Person, at: datetime | None = None
) -> Payment:
    """Settle what is due on ``target`` from what is too much on ``source``."""
    at = at or timezone.now()
    if source == target or source.customer_id != target.customer_id:
        raise Refused(_("Only for another ticket of the same customer."), field="to")
    for one in sorted((source, target), key=lambda ticket: ticket.pk):
        checks.ticket_locked(one)
    checks.same_currency(nothing(source.currency), target.currency, field="to")
    amount = min(credit_of(source), queries.balance(target).due)
    if amount.amount <= 0:
        raise Refused(_("There is nothing to move, or nothing is due."), field="to")
    used = _("Used for ticket %(number)s") % {"number": target.number}
    came = _("From ticket %(number)s") % {"number": source.number}
    payment_take(
        shop=source.shop,
        ticket=source,
        by=by,
        amount=-amount,
        method=Payment.Method.CREDIT,
        reason=used,
        at=at,
    )
    return payment_take(
        shop=target.shop,
        ticket=target,
        by=by,
        amount=amount,
        method=Payment.Method.CREDIT,
        reference=came,
        at=at,
    )


def credit_of(ticket: Ticket) -> Money:
    """What was paid above the invoice; before there is one, it is all an advance."""
    if owing.standing_invoice(ticket) is None:
        return nothing(ticket.currency)
    left = owing.paid(ticket) - owing.invoiced(ticket)
    return max(left, nothing(ticket.currency))
