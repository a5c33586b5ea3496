"""Customers, and what changes of them."""

from django.db import transaction
from django.utils.translation import gettext as _

from shop.intake import phones
from shop.intake.models import Channel, Customer
from shop.intake.services.rows import checked, keep
from shop.people.models import Person, Shop
from shop.records.errors import Refused, StaleEdit

MAY_CHANGE = (
    *("name", "phone_typed", "email", "address", "channel", "language"),
    *("tax_id", "country", "taxed"),
)
LONGEST_ADDRESS = 500


def customer_keep(*, shop: Shop, by: Person, **who: str) -> Customer:
    """A new customer; ``customer_draft`` says what there is to know of one."""
    row = customer_draft(shop=shop, **who)
    row.save()
    return row


def customer_draft(
    *,
    shop: Shop,
    name: str,
    phone: str = "",
    email: str = "",
    address: str = "",
    channel: str = Channel.PHONE,
    language: str = "",
    tax_id: str = "",
) -> Customer:
    """A customer in order, not saved yet; else refused."""
    _not_too_long(address)
    customer = Customer(
        shop=shop,
        name=name.strip(),
        phone_typed=phone.strip(),
        phone_e164=phones.e164(phone, shop.country),
        email=email.strip(),
        address=address.strip(),
        channel=channel,
        language=language or shop.language_codes[0],
        tax_id=tax_id.strip(),
    )
    return checked(customer)


@transaction.atomic
def customer_change(
    *, customer: Customer, by: Person, version: int, **fields: str
) -> Customer:
    """Change the named fields; refused when somebody saved after ``version``."""
    unknown = set(fields) - set(MAY_CHANGE)
    if unknown:
        raise TypeError(f"A customer has no {', '.join(sorted(unknown))} to change.")
    row = Customer.objects.select_for_update().get(pk=customer.pk)
    if row.erased_at is not None:
        raise Refused(_("This customer was erased: nobody is named here any more."))
    mine = {name: value.strip() for name, value in fields.items()}
    theirs = {name: getattr(row, name) for name in mine}
    if theirs == mine:
        return row
    if row.version != version:
        raise StaleEdit(mine=mine, theirs=theirs)
    _not_too_long(mine.get("address", ""))
    for name, value in mine.items():
        setattr(row, name, value)
    row.phone_e164 = phones.e164(row.phone_typed, row.shop.country)
    row.version += 1
    return keep(row, update_fields=[*mine, "phone_e164", "version"])


def _not_too_long(address: str) -> None:
    """Text columns have no bound of their own in the database."""
    if len(address) > LONGEST_ADDRESS:
        raise Refused(
            _("At most %(n)d characters.") % {"n": LONGEST_ADDRESS}, field="address"
        )
