"""The owner's pages of limits and numbers, and what the trail says of settings."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.utils import timezone

from shop.intake import event_words
from shop.opening import numbers
from shop.people import house_services as house
from shop.people import terms_services
from shop.people.models import Person, Shop
from shop.people.office_limits import limits_at
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event, NumberSeries
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client_of: Callable[[str], Client]) -> Client:
    client = client_of("marit")
    client.post("/sign-in/", {"username": "marit", "password": PASSWORD})
    return client


def send(client: Client, url: str, **typed: Any) -> Any:
    return client.post(url, typed | {"idempotency_key": uuid4().hex})


def last_said() -> str:
    return event_words.happened(Event.objects.latest("id"))


def test_every_setting_is_reached_from_the_settings(owner: Client) -> None:
    page = owner.get("/opening/settings/").content.decode()
    for url in (
        *("/people/", "/opening/settings/rates/", "/opening/settings/texts/"),
        *("/bench/meters/", "/bench/families/", "/opening/settings/limits/"),
        *("/opening/settings/numbers/", "/office/trail/", "/opening/settings/shop/"),
    ):
        assert f'href="{url}"' in page, url
        assert owner.get(url).status_code == 200, url


def test_limits_begin_on_their_day(owner: Client, hollin_lane: Shop) -> None:
    day = timezone.localdate() + timedelta(days=9)
    url = "/opening/settings/limits/"
    days = {"untouched_days": 2, "unanswered_days": 4, "owed_days": 30}
    assert send(owner, url, **days, valid_from=day.isoformat()).status_code == 302
    assert limits_at(hollin_lane, timezone.now()).owed_days == 14
    row = hollin_lane.office_limits.get()
    assert row.valid_from.astimezone(hollin_lane.zone).date() == day
    assert "not begun" in owner.get(url).content.decode()
    trail = owner.get("/office/trail/").content.decode()
    assert "days untouched 3 → 2, days unanswered 3 → 4, days owed 14 → 30" in trail


def test_wrong_limits_stand_beside_their_field(owner: Client) -> None:
    url = "/opening/settings/limits/"
    answer = send(owner, url, untouched_days=0, unanswered_days="x", owed_days=5)
    assert answer.status_code == 422
    assert {"untouched_days", "unanswered_days"} == set(answer.context["form"].errors)
    assert answer.context["form"]["owed_days"].value() == "5"


def test_numbers_move_on_and_never_back(owner: Client, hollin_lane: Shop) -> None:
    with transaction.atomic():
        for _time in range(4):
            records.number_take(shop_id=hollin_lane.pk, kind="invoice")
    url = "/opening/settings/numbers/"
    stand = {one.kind: one.following for one in numbers.series_of(hollin_lane)}
    assert stand["invoice"] == 5
    assert send(owner, url, **(stand | {"invoice": 318})).status_code == 302
    assert last_said() == "Numbers of papers moved on: next invoice number 5 → 318"
    row = NumberSeries.objects.get(shop_id=hollin_lane.pk, kind="invoice")
    assert row.next_number == 318
    back = send(owner, url, **(stand | {"invoice": 317}))
    assert back.status_code == 422
    assert "never goes back" in back.content.decode()
    row.refresh_from_db()
    assert row.next_number == 318


def test_the_page_of_numbers_left_alone_moves_nothing(
    owner: Client, hollin_lane: Shop
) -> None:
    stand = {one.kind: one.following for one in numbers.series_of(hollin_lane)}
    before = Event.objects.count()
    assert send(owner, "/opening/settings/numbers/", **stand).status_code == 302
    assert Event.objects.count() == before


def test_rates_say_what_they_were(hollin_lane: Shop, marit: Person) -> None:
    last = hollin_lane.terms.latest("valid_from")
    terms_services.terms_set(
        shop=hollin_lane,
        by=marit,
        seen=last.pk,
        hourly_rate_minor=7250,
        tax_basis_points=1900,
        fee_rule="credited",
        tables=terms_services.Tables(fixed_jobs=[]),
    )
    said = last_said()
    assert "hourly rate 60.00 → 72.50" in said
    assert "tax 20.00 % → 19.00 %" in said
    assert "fee rule kept → credited" in said


def test_no_name_or_number_of_anybody_stands_in_the_event(
    hollin_lane: Shop, marit: Person
) -> None:
    """Of words that a person typed it is said that they changed, and no more."""
    house.shop_change(
        shop=hollin_lane,
        by=marit,
        version=hollin_lane.version,
        phone="+00 555 0199",
        street="5 Hollin Lane",
        paper_size="Letter",
    )
    event = Event.objects.get(kind=Kind.SETTINGS_CHANGED)
    assert "0199" not in str(event.codes)
    assert "Hollin" not in str(event.codes)
    assert last_said() == "Settings of the shop: paper A4 → Letter, phone street"


def test_hours_say_the_days_that_changed(hollin_lane: Shop, marit: Person) -> None:
    from datetime import time

    week = [house.Stretch(0, time(9), time(17)), house.Stretch(1, time(9), time(17))]
    more: dict[str, Any] = {"shop": hollin_lane, "by": marit, "closed": []}
    house.hours_keep(version=hollin_lane.version, week=week, **more)
    house.hours_keep(version=hollin_lane.version + 1, week=week[:1], **more)
    assert last_said() == ("Opening hours and closed days: Tuesday 09:00–17:00 → –")


def test_texts_are_named_by_kind_and_language(hollin_lane: Shop, marit: Person) -> None:
    key = ("job_terms", "en")
    for text in ("First words of the owner.", "Other words of the owner."):
        row = hollin_lane.texts.filter(kind="job_terms").last()
        seen = {key: row.pk} if row else {}
        house.texts_keep(shop=hollin_lane, by=marit, texts={key: text}, seen=seen)
    event = Event.objects.latest("id")
    first, second = hollin_lane.texts.filter(kind="job_terms").order_by("id")
    assert event.ids == {"job_terms en": second.pk, "job_terms en_before": first.pk}
    assert "words" not in str(event.codes)
    assert last_said() == "Texts for customers: job terms en"
