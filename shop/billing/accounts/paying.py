"""Money of an account: one sum pays its open invoices, the oldest first."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import accumulate
from operator import add

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.account_models import PaidTogether
from shop.billing.accounts.statement import Open, open_at
from shop.billing.models import Payment
from shop.billing.paying.cash import Handed
from shop.billing.paying.rules import rules_at
from shop.billing.services import checks
from shop.billing.services.payments import coins_or_refused, payment_keep
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

    A payment for each invoice that it pays; more than is due is refused. Cash is
    rounded to the coins there are: rounding is on the payment, once, and carried by
    the oldest invoice it settles (jd). Where that one's part is smaller than what was
    rounded off, the next that can bear it carries it: no payment turns negative.
    """
    at = at or timezone.now()
    rows = Customer.objects.select_for_update(of=("self",)).select_related("shop")
    customer = rows.get(pk=customer.pk)
    if method not in Payment.Method:
        raise Refused(_("Say how it was paid."), field="method")
    checks.same_currency(amount, customer.shop.currency, field="amount")
    if amount.amount <= 0:
        raise Refused(_("Nothing is no payment."), field="amount")
    found = _open_ones(customer, number, at)
    hand = _in_coins(found, amount, method, customer, at)
    parts = _parts(found, hand.amount - hand.rounding)
    carries = _carrier(parts, hand.rounding)
    taken = []
    for place, (one, part) in enumerate(zip(found, parts, strict=False)):
        rounding = hand.rounding if place == carries else nothing(part.currency)
        payment = Payment(
            shop=customer.shop,
            invoice=one.invoice,
            currency=part.currency,
            amount_minor=(part + rounding).minor,
            rounding_minor=rounding.minor,
            method=method,
            reference=reference,
            by=by,
            at=at,
        )
        taken.append(payment_keep(payment))
    _keep_together(taken)
    return taken


def _open_ones(customer: Customer, number: str, at: datetime) -> list[Open]:
    """Whatever was taken by now counts, also what is written down for later."""
    until = max(at, timezone.now()) + timedelta(seconds=1)
    return [
        one
        for one in open_at(customer, until)
        if one.invoice.ticket_id is None and number in {"", one.invoice.number}
    ]


def _in_coins(
    found: Sequence[Open], amount: Money, method: str, customer: Customer, at: datetime
) -> Handed:
    """What changes hands: whole coins, or those for the oldest so many invoices."""
    due = total([one.due for one in found], amount.currency)
    hand = Handed(amount, nothing(amount.currency))
    if method == Payment.Method.CASH:
        step = rules_at(customer.shop, at).cash_step_minor
        sums = accumulate((one.due for one in found), add)
        hand = coins_or_refused(amount, step=step, settling=tuple(sums))
    if hand.amount - hand.rounding > due:
        raise Refused(_("Only %(limit)s is due.") % {"limit": due}, field="amount")
    return hand


def _parts(found: Sequence[Open], settled: Money) -> list[Money]:
    """What of the sum settles each invoice, the oldest first."""
    parts = []
    for one in found:
        part = min(settled, one.due)
        if not part:
            break
        parts.append(part)
        settled = settled - part
    return parts


def _carrier(parts: Sequence[Money], rounding: Money) -> int:
    """The place of the oldest part that rounding leaves at nothing or more."""
    fit = (n for n, part in enumerate(parts) if (part + rounding).amount >= 0)
    return next(fit, 0)


def _keep_together(taken: Sequence[Payment]) -> None:
    """One sum has one receipt, however many invoices it paid."""
    if len(taken) > 1:
        PaidTogether.objects.bulk_create(
            PaidTogether(payment=payment, first=taken[0]) for payment in taken
        )
