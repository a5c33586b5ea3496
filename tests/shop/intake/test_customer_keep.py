"""Customers: kept, changed by two people, and their devices."""

import pytest

from shop.intake import services as intake
from shop.intake.models import Customer
from shop.people.models import Person, Shop
from shop.records.errors import Refused, StaleEdit
from tests.factories import ShopFactory


@pytest.fixture
def ada(tomas: Person, hollin_lane: Shop) -> Customer:
    return intake.customer_keep(
        shop=hollin_lane, by=tomas, name=" Ada Pell ", phone="+44 20 7946 0958"
    )


def test_a_phone_is_kept_as_typed_and_as_e164(ada: Customer) -> None:
    assert ada.name == "Ada Pell"
    assert ada.phone_typed == "+44 20 7946 0958"
    assert ada.phone_e164 == "+442079460958"


def test_a_national_number_is_read_in_the_shops_country(tomas: Person) -> None:
    shop = ShopFactory.create(name="A shop on an island", country="GB")
    kept = intake.customer_keep(
        shop=shop, by=tomas, name="Ada Pell", phone="020 7946 0958"
    )
    assert kept.phone_e164 == "+442079460958"


def test_a_phone_that_cannot_be_read_is_never_refused(
    tomas: Person, hollin_lane: Shop
) -> None:
    kept = intake.customer_keep(
        shop=hollin_lane, by=tomas, name="Ada Pell", phone="at her sister’s"
    )
    assert (kept.phone_typed, kept.phone_e164) == ("at her sister’s", "")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 10_000}, "name"),
        ({"email": "not an address"}, "email"),
        ({"phone": "1" * 201}, "phone_typed"),
        ({"channel": "pigeon"}, "channel"),
        ({"address": "x" * 501}, "address"),
    ],
)
def test_nonsense_is_refused(
    tomas: Person, hollin_lane: Shop, given: dict[str, str], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        intake.customer_keep(
            shop=hollin_lane, by=tomas, **({"name": "Ada Pell"} | given)
        )
    assert refused.value.field == field
    assert not Customer.objects.exists()


def test_a_change_moves_the_version_on(ada: Customer, ines: Person) -> None:
    changed = intake.customer_change(
        customer=ada, by=ines, version=1, phone_typed="+1 202 555 0123"
    )
    assert (changed.version, changed.phone_e164) == (2, "+12025550123")


def test_a_stale_change_shows_mine_and_theirs(
    ada: Customer, ines: Person, tomas: Person
) -> None:
    intake.customer_change(customer=ada, by=ines, version=1, name="Ada Pell-Quist")
    with pytest.raises(StaleEdit) as stale:
        intake.customer_change(customer=ada, by=tomas, version=1, name="A. Pell")
    assert stale.value.mine == {"name": "A. Pell"}
    assert stale.value.theirs == {"name": "Ada Pell-Quist"}
    ada.refresh_from_db()
    assert ada.name == "Ada Pell-Quist"


def test_saving_what_stands_already_is_no_change(ada: Customer, ines: Person) -> None:
    same = intake.customer_change(customer=ada, by=ines, version=0, name="Ada Pell")
    assert same.version == 1


def test_only_known_fields_change(ada: Customer, ines: Person) -> None:
    with pytest.raises(TypeError, match="shop_id"):
        intake.customer_change(customer=ada, by=ines, version=1, shop_id="2")


def test_a_device_belongs_to_its_customer(ada: Customer, tomas: Person) -> None:
    device = intake.device_keep(
        customer=ada, by=tomas, kind="laptop", model="Orrin 14", serial=" R7-1 "
    )
    assert (device.shop_id, device.customer, device.serial) == (
        ada.shop_id,
        ada,
        "R7-1",
    )


def test_a_device_has_a_model_and_a_known_kind(ada: Customer, tomas: Person) -> None:
    wrong = (("toaster", "T"), ("laptop", " "))
    for kind, model in wrong:
        with pytest.raises(Refused):
            intake.device_keep(customer=ada, by=tomas, kind=kind, model=model)
