"""Another time zone, tax or currency; somebody who left: what was stays as it was."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from shop.billing.work import Prices
from shop.books.dated import day_of
from shop.books.periods import Period
from shop.intake import event_words
from shop.opening.services import currency_change
from shop.people import house_services as house
from shop.people import services as people
from shop.people import terms_services
from shop.people.models import Person, Shop, ZoneChange
from shop.people.queries import terms_at
from shop.records.errors import Refused
from shop.records.models import Event
from tests.factories import TicketFactory

pytestmark = pytest.mark.django_db
# 23:30 of the 31st in Vienna (UTC+1), 14:30 in Los Angeles (UTC-8): IANA tzdata.
LATE = datetime(2026, 1, 31, 22, 30, tzinfo=UTC)
# 00:30 of the 1st in Vienna, still the 31st in Los Angeles.
AFTER_MIDNIGHT = datetime(2026, 1, 31, 23, 30, tzinfo=UTC)


@pytest.fixture
def moved(hollin_lane: Shop, marit: Person) -> Shop:
    """From Vienna to Los Angeles, just now."""
    Shop.objects.update(time_zone="Europe/Vienna")
    house.shop_change(
        shop=hollin_lane,
        by=marit,
        version=hollin_lane.version,
        time_zone="America/Los_Angeles",
    )
    return Shop.objects.get()


def test_days_of_before_stay_when_the_zone_changes(moved: Shop) -> None:
    assert day_of(AFTER_MIDNIGHT, moved) == date(2026, 2, 1)
    assert day_of(LATE, moved) == date(2026, 1, 31)
    january = Period(moved, date(2026, 1, 1), date(2026, 1, 31))
    february = Period(moved, date(2026, 2, 1), date(2026, 2, 28))
    assert january.end == february.start == datetime(2026, 1, 31, 23, tzinfo=UTC)
    later = timezone.now() + timedelta(days=3)
    assert moved.zone_at(later).key == "America/Los_Angeles"
    begins = moved.day_begins(later.date())
    assert begins.hour == 0
    assert begins.tzinfo == moved.zone


def test_the_change_is_dated_said_and_never_edited(moved: Shop, marit: Person) -> None:
    row = ZoneChange.objects.get()
    assert (row.before, row.after, row.by) == (
        "Europe/Vienna",
        "America/Los_Angeles",
        marit,
    )
    assert event_words.happened(Event.objects.latest("id")) == (
        "Settings of the shop: time zone Europe/Vienna → America/Los_Angeles"
    )
    with pytest.raises(DatabaseError, match="never"), transaction.atomic():
        ZoneChange.objects.update(before="UTC")


def test_a_shop_that_moves_twice(moved: Shop, marit: Person) -> None:
    between = timezone.now()
    house.shop_change(shop=moved, by=marit, version=moved.version, time_zone="UTC")
    shop = Shop.objects.get()
    assert shop.zone_at(AFTER_MIDNIGHT).key == "Europe/Vienna"
    assert shop.zone_at(between).key == "America/Los_Angeles"
    assert shop.zone_at(timezone.now()).key == "UTC"


def test_open_tickets_keep_the_terms_they_were_taken_in_by(
    hollin_lane: Shop, marit: Person, tomas: Person
) -> None:
    """Rates as they were told; the tax is that of the day of the invoice."""
    before = TicketFactory.create(by=tomas)
    last = hollin_lane.terms.latest("valid_from")
    terms_services.terms_set(
        shop=hollin_lane,
        by=marit,
        seen=last.pk,
        hourly_rate_minor=9900,
        tax_basis_points=2500,
        diagnosis_fee_minor=5000,
    )
    after = TicketFactory.create(by=tomas)
    assert terms_at(hollin_lane, timezone.now()).hourly_rate_minor == 9900
    prices = [Prices.of(one, timezone.now()) for one in (before, after)]
    assert [one.hourly_rate for one in prices] == [60, 99]
    assert [one.tax_percent for one in prices] == [25, 25]
    assert before.diagnosis_fee.minor == 3500
    assert after.diagnosis_fee.minor == 5000


def test_a_currency_changes_only_before_the_first_ticket(
    hollin_lane: Shop, marit: Person, tomas: Person
) -> None:
    TicketFactory.create(by=tomas)
    with pytest.raises(Refused, match="tickets in EUR already") as refused:
        currency_change(shop=hollin_lane, by=marit, currency="CHF")
    assert refused.value.field == "currency"
    assert hollin_lane.terms.count() == 1


def test_who_left_stays_in_the_trail_and_opens_nothing(
    hollin_lane: Shop, marit: Person, ines: Person, client_of: Any
) -> None:
    client = client_of("ines")
    people.person_leave(shop=hollin_lane, person=ines, by=marit)
    assert client.get("/bench/").status_code in {302, 403}
    assert not ines.memberships.exists()
    owner = client_of("marit")
    trail = owner.get("/office/trail/").content.decode()
    assert "Somebody left the shop" in trail
    assert ines.name in trail
    asked = owner.get("/office/trail/", {"who": ines.pk})
    assert asked.status_code == 200
