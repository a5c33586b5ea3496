"""Which day a part was used on: by the shop's own midnights, summer time and all."""

import random
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.billing.models import StockItem, StockMove
from shop.billing.shelf import listing
from shop.people.models import Person, Shop

pytestmark = pytest.mark.django_db
Why = StockMove.Why


@pytest.fixture
def fuse(hollin_lane: Shop) -> StockItem:
    return StockItem.objects.create(
        shop=hollin_lane, name="Fuse", currency="EUR", on_hand=0, cost_minor=10
    )


@pytest.mark.parametrize(
    "zone", ["Europe/Dublin", "Asia/Kathmandu", "America/St_Johns", "UTC"]
)
def test_days_are_those_of_each_move(
    zone: str, hollin_lane: Shop, fuse: StockItem, tomas: Person
) -> None:
    """Against ``zoneinfo`` (the IANA time zones) move by move; offsets of 5:45 too."""
    Shop.objects.filter(pk=hollin_lane.pk).update(time_zone=zone)
    shop = Shop.objects.get(pk=hollin_lane.pk)
    now = datetime(2026, 4, 20, 12, 0, tzinfo=UTC)
    draw, expected = random.Random(zone), dict[object, int]()
    for _n in range(200):
        at = now - timedelta(seconds=draw.randrange(250 * 86_400))
        why = draw.choice([Why.USED, Why.USED, Why.COUNTED])
        move = StockMove.objects.create(
            item=fuse, quantity=-draw.randrange(1, 4), why=why, by=tomas, at=at
        )
        is_back = draw.random() < 0.1
        if is_back:
            StockMove.objects.create(
                item=fuse, quantity=1, why=Why.RETURNED, by=tomas, reverses=move
            )
        elif why == Why.USED and at >= now - listing.LOOKED_BACK:
            day = at.astimezone(shop.zone).date()
            expected[day] = expected.get(day, 0) - move.quantity
    found = listing._used(shop, [fuse], now - listing.LOOKED_BACK)
    assert found == {fuse.pk: expected}
    first = fuse.moves.order_by("at")[0].at
    assert listing._first([fuse]) == {fuse.pk: first}


def test_a_part_without_a_move_has_no_first_day(
    fuse: StockItem, hollin_lane: Shop
) -> None:
    with CaptureQueriesContext(connection) as seen:
        assert listing._first([fuse]) == {}
    assert len(seen) == 1
