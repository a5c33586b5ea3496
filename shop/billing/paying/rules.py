"""How money is taken, as of a day: read and set."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.paying.models import DepositPaper, PaymentRules
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.changes import Value, before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind

# Steps that are coins somewhere, in minor units of two digits: to the cent, 0.05
# (Switzerland, Canada), 0.10, 0.50, 1.00 (Sweden, Norway).
STEPS = (1, 5, 10, 50, 100)


def rules_at(shop: Shop, at: datetime) -> PaymentRules:
    """The rules in force; the defaults where none was ever set."""
    kept = shop.payment_rules.filter(valid_from__lte=at).last()
    return kept or PaymentRules(shop=shop, valid_from=at)


@transaction.atomic
def rules_set(
    *,
    shop: Shop,
    by: Person,
    deposit_paper: str,
    cash_step_minor: int,
    at: datetime | None = None,
) -> PaymentRules:
    """New rules from now on; what was paid by the old ones stays as it is."""
    if deposit_paper not in DepositPaper:
        raise Refused(_("Choose one of these."), field="deposit_paper")
    if cash_step_minor not in STEPS:
        raise Refused(_("Choose one of these."), field="cash_step_minor")
    before = rules_at(shop, at or timezone.now())
    made = PaymentRules.objects.create(
        shop=shop,
        valid_from=at or timezone.now(),
        deposit_paper=deposit_paper,
        cash_step_minor=cash_step_minor,
        by=by,
    )
    records.event_record(
        Kind.PAYMENT_RULES_SET,
        shop_id=shop.pk,
        by_id=by.pk,
        at=made.valid_from,
        ids={"payment_rules": made.pk},
        codes={"deposit_paper": str(deposit_paper), "currency": shop.currency}
        | before_after(_told(before), _told(made)),
        amounts={"cash_step": cash_step_minor},
    )
    return made


def _told(rules: PaymentRules) -> dict[str, Value]:
    step = rules.cash_step_minor
    return {"deposit_paper": str(rules.deposit_paper), "cash_step_minor": step}
