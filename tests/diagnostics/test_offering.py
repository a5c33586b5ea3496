"""Which families are offered; what the trail says of meters and board models."""

from collections.abc import Callable
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.utils import timezone

from diagnostics import bridge, sayings, services
from diagnostics.engine.meters import MeterRange
from diagnostics.forms import BoardForm
from diagnostics.models import BoardModel, FamilyOffer
from diagnostics.offering import offered_at, offers_set
from shop.intake import event_words
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.models import Event

pytestmark = pytest.mark.django_db
URL = "/bench/families/"


def last_said() -> str:
    return event_words.happened(Event.objects.latest("id"))


def test_all_are_offered_until_the_owner_says_otherwise(
    hollin_lane: Shop, marit: Person
) -> None:
    known, now = bridge.family_ids(), timezone.now()
    later = now + timedelta(days=5)
    assert offered_at(hollin_lane, now) == known
    offers_set(shop=hollin_lane, by=marit, families=known[:1], at=later)
    assert offered_at(hollin_lane, now) == known
    assert offered_at(hollin_lane, later) == known[:1]
    offers_set(shop=hollin_lane, by=marit, families=known, at=later)
    assert offered_at(hollin_lane, later) == known


def test_a_new_number_is_of_an_offered_family_and_known_ones_go_on(
    hollin_lane: Shop, marit: Person, ines: Person
) -> None:
    first, second = bridge.family_ids()[:2]
    known = services.board_model_keep(
        shop=hollin_lane, by=ines, number="KN-1", family=first
    )
    offers_set(shop=hollin_lane, by=marit, families=[second])
    with pytest.raises(Refused, match="doesn’t offer this family"):
        services.board_model_keep(
            shop=hollin_lane, by=ines, number="KN-2", family=first
        )
    again = services.board_model_keep(
        shop=hollin_lane, by=ines, number="KN-1", family=first
    )
    assert again == known
    assert BoardModel.objects.count() == 1
    form = BoardForm(offered=offered_at(hollin_lane, timezone.now()))
    assert [code for code, _name in form.fields["family"].choices] == [second]  # type: ignore[attr-defined]


def test_none_at_all_and_the_past_are_refused(hollin_lane: Shop, marit: Person) -> None:
    with pytest.raises(Refused, match="At least one"):
        offers_set(shop=hollin_lane, by=marit, families=["nothing"])
    ago = timezone.now() - timedelta(minutes=1)
    with pytest.raises(Refused, match="today or later"):
        offers_set(shop=hollin_lane, by=marit, families=bridge.family_ids()[:1], at=ago)


def test_rows_are_never_changed(hollin_lane: Shop, marit: Person) -> None:
    offers_set(shop=hollin_lane, by=marit, families=bridge.family_ids()[:1])
    with pytest.raises(DatabaseError, match="never"), transaction.atomic():
        FamilyOffer.objects.update(is_offered=True)


def test_the_page(client_of: Callable[[str], Client], hollin_lane: Shop) -> None:
    owner, known = client_of("marit"), bridge.family_ids()
    typed = {"families": known[:2], "idempotency_key": uuid4().hex}
    assert owner.post(URL, typed).status_code == 302
    assert offered_at(hollin_lane, timezone.now()) == known[:2]
    page = owner.get(URL).content.decode()
    assert page.count("not offered") == len(known) - 2
    gone = sayings.family_text(bridge.family_name(known[-1]))
    assert last_said() == f"Board families that are offered: {gone} yes → no"
    typed = {"families": [], "idempotency_key": uuid4().hex}
    assert owner.post(URL, typed).status_code == 422


def test_a_change_of_a_board_model_stands_in_the_trail(
    hollin_lane: Shop, ines: Person, client_of: Callable[[str], Client], marit: Person
) -> None:
    family = next(one for one in bridge.family_ids() if bridge.family_options(one))
    variant, options = next(iter(bridge.family_options(family).items()))
    model = services.board_model_keep(
        shop=hollin_lane, by=ines, number="KN-1", family=family
    )
    key = f"variants.{variant}"
    services.board_model_patch(
        board_model=model, by=ines, key=key, new=options[1], why="seen on the bench"
    )
    event = Event.objects.latest("id")
    assert event.codes == {key: options[1], f"{key}_before": None}
    assert event.by == ines
    assert options[1].replace("_", " ") in last_said().replace("_", " ")
    assert "KN-1" in client_of("marit").get(URL).content.decode()


def test_a_meter_says_what_changed(hollin_lane: Shop, ines: Person) -> None:
    day = timezone.localdate() + timedelta(days=365)
    ranges = [MeterRange("V", 6.0, percent=0.5, counts=3, digit=0.001)]
    meter = services.meter_keep(shop=hollin_lane, by=ines, name="Bench", ranges=[])
    services.meter_keep(
        shop=hollin_lane,
        by=ines,
        name="Bench",
        ranges=ranges,
        calibration_due=day,
        replaces=meter,
    )
    said = last_said()
    assert f"calibration due – → {day.isoformat()}" in said
    assert "ranges 0 → 1" in said
    assert "accuracy" in said
    meter.refresh_from_db()
    assert (meter.ranges, meter.calibration_due) == ([], None)
