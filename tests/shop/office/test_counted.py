"""Counts of a big shop serve for some minutes and say so; others are always new."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.utils import timezone, translation

from shop.office import counted as counting
from shop.office import rooms
from shop.office.asked import Asked
from shop.office.counted import SERVES, counted
from shop.office.sections import Section, Table
from shop.people.models import Person, Shop
from shop.records import jobs
from tests.factories import TicketFactory
from tests.shop.office.sample_sections import sections as samples

ClientOf = Callable[[str], Client]
Count = Callable[[], int]


@pytest.fixture
def count(monkeypatch: pytest.MonkeyPatch) -> Count:
    """How often the rooms have been counted; the page says the how manieth it was."""
    times: list[str] = []

    def room(shop: Shop, asked: Asked) -> list[Section]:
        times.append(translation.get_language() or "")
        said = f"Counted {len(times)} times."
        return [Section("times", "Times", "", said, "How often.", Table([], []))]

    for name in rooms.ROOMS:
        monkeypatch.setitem(rooms.ROOMS, name, room)
    return lambda: len(times)


@pytest.fixture
def big(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(counting, "BIG", 0)


def asked_at(now: datetime) -> Asked:
    since = datetime.combine(now.date(), datetime.min.time(), now.tzinfo)
    return Asked(since, now, now)


def test_a_small_shop_is_counted_anew_when_something_happened(
    client_of: ClientOf, tomas: Person, count: Count
) -> None:
    owner = client_of("marit")
    for _time in range(2):
        assert "Counted 1 times." in owner.get("/office/money/").content.decode()
    TicketFactory.create(by=tomas)
    page = owner.get("/office/money/").content.decode()
    assert "Counted 2 times." in page
    assert "Count anew" not in page


def test_a_big_shop_is_told_what_is_not_in_it_and_counted_anew_when_asked(
    client_of: ClientOf, tomas: Person, count: Count, big: None
) -> None:
    owner = client_of("marit")
    TicketFactory.create(by=tomas)
    assert "Count anew" not in owner.get("/office/money/").content.decode()
    TicketFactory.create(by=tomas)
    page = owner.get("/office/money/").content.decode()
    assert "Counted 1 times." in page
    assert "what has happened since is not in it" in page
    page = owner.get("/office/money/?months=12&anew").content.decode()
    assert "Counted 2 times." in page
    assert "Count anew" not in page
    assert "Counted 2 times." in owner.get("/office/money/").content.decode()


def test_an_old_count_does_not_serve_nor_one_of_a_clock_that_went_back(
    hollin_lane: Shop, tomas: Person, count: Count, big: None
) -> None:
    now = timezone.now().replace(hour=12)
    TicketFactory.create(by=tomas)
    first = counted("money", hollin_lane, asked_at(now))
    TicketFactory.create(by=tomas)
    soon = now + SERVES - timedelta(seconds=1)
    assert counted("money", hollin_lane, asked_at(soon)) == first
    earlier = now - timedelta(minutes=1)
    assert counted("money", hollin_lane, asked_at(earlier)).at == earlier
    TicketFactory.create(by=tomas)
    assert counted("money", hollin_lane, asked_at(now + SERVES)).at == now + SERVES
    assert count() == 3


def test_the_job_counts_for_each_owner_in_their_language(
    hollin_lane: Shop,
    client_of: ClientOf,
    marit: Person,
    tomas: Person,
    count: Count,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    TicketFactory.create(by=tomas)
    counting.job()
    assert count() == 0, "nobody waits for a small shop"
    monkeypatch.setattr(counting, "BIG", 0)
    marit.language = "de"
    marit.save()
    counting.job()
    counting.job()
    assert count() == len(rooms.ROOMS)
    page = client_of("marit").get("/office/quality/").content.decode()
    assert "Counted 3 times." in page
    TicketFactory.create(by=tomas)
    monkeypatch.setattr(jobs, "may_go_on", lambda: False)
    counting.job()
    assert count() == len(rooms.ROOMS), "the process is to end"


@pytest.mark.django_db
def test_what_is_kept_comes_back_as_it_was(
    hollin_lane: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every picture and table goes into the database's cache and out of it."""
    monkeypatch.setitem(rooms.ROOMS, "money", samples)
    asked = asked_at(timezone.now())
    made = counted("money", hollin_lane, asked).sections
    assert counted("money", hollin_lane, asked).sections == made
    assert made == samples(hollin_lane, asked)
