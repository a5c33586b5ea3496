"""After how many days the office's lists name what waits: dated, and in the trail."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from shop.intake import event_words
from shop.people.models import OfficeLimits, Person, Shop
from shop.people.office_limits import limits_at, limits_set
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event

pytestmark = pytest.mark.django_db


def days(limits: OfficeLimits) -> tuple[timedelta, ...]:
    return limits.untouched, limits.unanswered, limits.owed


def test_before_any_was_set_the_defaults_count(hollin_lane: Shop) -> None:
    three = timedelta(days=3)
    limits = limits_at(hollin_lane, timezone.now())
    assert days(limits) == (three, three, timedelta(days=14))


def test_a_change_counts_from_its_day_and_not_before(
    hollin_lane: Shop, marit: Person
) -> None:
    now = timezone.now()
    later = now + timedelta(days=10)
    limits_set(shop=hollin_lane, by=marit, untouched_days=2)
    limits_set(shop=hollin_lane, by=marit, at=later, owed_days=30)
    today = limits_at(hollin_lane, timezone.now())
    then = limits_at(hollin_lane, later)
    assert (today.untouched_days, today.owed_days) == (2, 14)
    assert (then.untouched_days, then.owed_days) == (2, 30)
    assert limits_at(hollin_lane, now - timedelta(days=1)).untouched_days == 3


def test_of_one_moment_the_last_row_counts(hollin_lane: Shop, marit: Person) -> None:
    later = timezone.now() + timedelta(days=10)
    for count in (5, 6):
        limits_set(shop=hollin_lane, by=marit, at=later, untouched_days=count)
    assert limits_at(hollin_lane, later).untouched_days == 6


@pytest.mark.parametrize("wrong", [{"owed_days": 0}, {"untouched_days": 366}])
def test_days_that_are_none(
    hollin_lane: Shop, marit: Person, wrong: dict[str, Any]
) -> None:
    with pytest.raises(Refused, match="From 1 to 365 days"):
        limits_set(shop=hollin_lane, by=marit, **wrong)
    with pytest.raises(TypeError):
        limits_set(shop=hollin_lane, by=marit, fewest=3)
    assert not hollin_lane.office_limits.exists()


def test_nothing_begins_in_the_past(hollin_lane: Shop, marit: Person) -> None:
    ago = timezone.now() - timedelta(minutes=1)
    with pytest.raises(Refused, match="today or later"):
        limits_set(shop=hollin_lane, by=marit, at=ago, owed_days=7)


def test_rows_are_never_changed(hollin_lane: Shop, marit: Person) -> None:
    made = limits_set(shop=hollin_lane, by=marit, owed_days=7)
    with pytest.raises(DatabaseError, match="never"), transaction.atomic():
        OfficeLimits.objects.filter(pk=made.pk).update(owed_days=8)
    with pytest.raises(DatabaseError, match="never"), transaction.atomic():
        OfficeLimits.objects.filter(pk=made.pk).delete()


def test_the_trail_says_before_and_after(hollin_lane: Shop, marit: Person) -> None:
    limits_set(shop=hollin_lane, by=marit, owed_days=7)
    event = Event.objects.get(kind=Kind.OFFICE_LIMITS_SET)
    assert event.by == marit
    assert event_words.happened(event) == "Limits of the office: days owed 14 → 7"
    later = timezone.now() + timedelta(days=400)
    limits_set(shop=hollin_lane, by=marit, at=later, owed_days=21, untouched_days=5)
    said = event_words.happened(Event.objects.latest("id"))
    assert said.startswith("Limits of the office, from ")
    assert said.endswith(": days untouched 3 → 5, days owed 7 → 21")
