"""Rows for tests. A ticket is taken in by the service, as at the counter."""

# factory_boy's declarations carry no types.
# mypy: disable-error-code="no-untyped-call,untyped-decorator"

from datetime import UTC, date, datetime
from typing import Any

from factory.declarations import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory
from factory.helpers import post_generation

from shop.intake import services as intake
from shop.intake.models import Customer, Device, DeviceKind, Ticket
from shop.people.models import MarkupTier, Membership, Person, Role, Shop, Terms

LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
PASSWORD = "bench lamp 3"

# Markup by cost: below, per cent, at least (domain.md, 9; in cents).
TIERS = ((2000, 60, 200), (6000, 30, 0), (None, 15, 0))


class ShopFactory(DjangoModelFactory[Shop]):
    class Meta:
        model = Shop
        skip_postgeneration_save = True

    name = "Hollin Lane Board Repair"
    street = "4 Hollin Lane"
    town = "Westmere"
    country = "ZZ"
    phone = "+00 555 0100"
    email = "desk@hollin-lane.example"
    tax_id = "ZZ000000318"
    account = "ZZ00 0000 0000 0318"
    currency = "EUR"

    @post_generation
    def terms(self: Any, create: bool, extracted: Any, **more: Any) -> None:
        """Every shop works by the prices of the worked cases."""
        TermsFactory.create(shop=self, **more)


class TermsFactory(DjangoModelFactory[Terms]):
    class Meta:
        model = Terms
        skip_postgeneration_save = True

    shop = SubFactory(ShopFactory)
    valid_from = LONG_AGO
    hourly_rate_minor = 6000
    increment_minutes = 15
    diagnosis_fee_minor = 3500
    fee_rule = "kept"
    consumables_minor = 400
    tax_basis_points = 2000

    @post_generation
    def tiers(self: Any, create: bool, extracted: Any, **more: Any) -> None:
        for below, percent, minimum in TIERS:
            MarkupTier.objects.create(
                terms=self,
                cost_below_minor=below,
                percent=percent,
                minimum_minor=minimum,
            )


class PersonFactory(DjangoModelFactory[Person]):
    """``PersonFactory(shop=shop, roles=[Role.OWNER])``."""

    class Meta:
        model = Person
        skip_postgeneration_save = True

    username = Sequence(lambda n: f"person.{n}")
    name = Sequence(lambda n: f"Person {n}")

    @classmethod
    def _create(cls, model_class: type[Person], *args: Any, **columns: Any) -> Person:
        shop, roles = columns.pop("shop", None), columns.pop("roles", ())
        person = Person.objects.create_user(password=PASSWORD, **columns)
        for role in roles:
            ends_on = date(2100, 1, 1) if role == Role.AUDITOR else None
            Membership.objects.create(
                shop=shop, person=person, role=Role(role), ends_on=ends_on
            )
        return person


class CustomerFactory(DjangoModelFactory[Customer]):
    class Meta:
        model = Customer

    shop = SubFactory(ShopFactory)
    name = "Ada Pell"
    phone_typed = "+00 555 0142"
    address = "17 Weir Street, Westmere"


class DeviceFactory(DjangoModelFactory[Device]):
    class Meta:
        model = Device

    customer = SubFactory(CustomerFactory)
    shop = SelfAttribute("customer.shop")
    kind = DeviceKind.LAPTOP
    model = "Orrin 14"
    serial = Sequence(lambda n: f"R7-{4400 + n}")


class TicketFactory(DjangoModelFactory[Ticket]):
    """``TicketFactory(by=tomas)``: taken in by Tomas in his shop."""

    class Meta:
        model = Ticket

    told = "Charged it overnight, dead in the morning."

    @classmethod
    def _create(cls, model_class: type[Ticket], *args: Any, **given: Any) -> Ticket:
        by = given.pop("by")
        shop = given.pop("shop", None) or by.memberships.first().shop
        device = given.pop("device", None)
        if device is None:
            customer = given.pop("customer", None)
            customer = customer or CustomerFactory.create(shop=shop)
            device = DeviceFactory.create(customer=customer)
        given.setdefault("customer", device.customer)
        return intake.ticket_open(shop=shop, by=by, device=device, **given)


def handed_over(ticket: Ticket, by: Person) -> Ticket:
    """The same, fixed and given back: what a warranty check is about."""
    intake.outcome_record(ticket=ticket, by=by, kind="fixed")
    intake.handover_do(ticket=ticket, by=by, given_to=ticket.customer.name)
    return ticket
