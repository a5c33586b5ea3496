"""Acts of the owner on account customers: their rules and their prices."""

from datetime import date, datetime, time

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake import accounts
from shop.intake.account_models import AccountPrices, AccountTerms
from shop.intake.models import Customer
from shop.intake.services.rows import checked
from shop.money import Money
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused, StaleEdit
from shop.records.kinds import Kind


@transaction.atomic
def account_set(
    *,
    customer: Customer,
    by: Person,
    seen: int,
    payment_days: int,
    standing_cap: Money | None = None,
    credit_limit: Money | None = None,
    order_number: str = "",
    needs_order: bool = False,
    billing_contact: str = "",
    billing_email: str = "",
    language: str = "",
    is_open: bool = True,
    at: datetime | None = None,
) -> AccountTerms:
    """Make or change an account. ``seen`` is the row that the page showed, or 0."""
    at = at or timezone.now()
    row = _customer(customer)
    newest = row.account_terms.order_by("valid_from", "id").last()
    if (newest.pk if newest else 0) != seen:
        raise StaleEdit(mine={}, theirs={})
    for money in (standing_cap, credit_limit):
        if money is not None and money.currency != row.shop.currency:
            raise Refused(_("Amounts here are in %(currency)s.") % _currency(row))
    terms = AccountTerms(
        shop=row.shop,
        customer=row,
        valid_from=at,
        is_open=is_open,
        payment_days=payment_days,
        currency=row.shop.currency,
        standing_cap_minor=None if standing_cap is None else standing_cap.minor,
        credit_limit_minor=None if credit_limit is None else credit_limit.minor,
        order_number=order_number.strip(),
        needs_order=needs_order,
        billing_contact=billing_contact.strip(),
        billing_email=billing_email.strip(),
        language=language or row.language,
        by=by,
    )
    checked(terms).save()
    if row.is_account != is_open:
        row.is_account = is_open
        row.save(update_fields=["is_account"])
    customer.is_account = is_open
    _tell(Kind.ACCOUNT_SET, row, by, at, is_open=is_open)
    return terms


@transaction.atomic
def account_prices_set(
    *,
    customer: Customer,
    by: Person,
    hourly_rate: Money | None = None,
    diagnosis_fee: Money | None = None,
    markup_percent: int | None = None,
    discount_basis_points: int = 0,
    first_day: date | None = None,
    now: datetime | None = None,
) -> AccountPrices:
    """A price list from today on, or from a day that lies ahead."""
    now = now or timezone.now()
    row = _customer(customer)
    if accounts.rules_at(row, now) is None:
        raise Refused(_("This is no account customer."))
    prices = AccountPrices(
        shop=row.shop,
        customer=row,
        valid_from=_from(row, first_day, now),
        currency=row.shop.currency,
        hourly_rate_minor=None if hourly_rate is None else hourly_rate.minor,
        diagnosis_fee_minor=None if diagnosis_fee is None else diagnosis_fee.minor,
        markup_percent=markup_percent,
        discount_basis_points=discount_basis_points,
        by=by,
    )
    checked(prices).save()
    _tell(Kind.ACCOUNT_PRICES_SET, row, by, now)
    return prices


def _from(customer: Customer, first_day: date | None, now: datetime) -> datetime:
    """Today's list holds from now: what was taken in before keeps its prices."""
    zone = customer.shop.zone
    today = now.astimezone(zone).date()
    if first_day is None or first_day == today:
        return now
    if first_day < today:
        text = _("Prices that customers were told stay: choose today or a later day.")
        raise Refused(text, field="first_day")
    return datetime.combine(first_day, time(), zone)


def _customer(customer: Customer) -> Customer:
    row = Customer.objects.select_for_update(of=("self",)).select_related("shop")
    found = row.get(pk=customer.pk)
    if found.erased_at is not None:
        raise Refused(_("This customer was erased: nobody is named here any more."))
    if found.joined_to_id is not None:
        raise Refused(_("One of them was joined to another meanwhile."))
    return found


def _currency(customer: Customer) -> dict[str, str]:
    return {"currency": customer.shop.currency}


def _tell(
    kind: Kind, customer: Customer, by: Person, at: datetime, **codes: bool
) -> None:
    records.event_record(
        kind,
        shop_id=customer.shop_id,
        by_id=by.pk,
        at=at,
        ids={"customer": customer.pk},
        codes=codes,
    )
