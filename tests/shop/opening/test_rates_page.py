"""The owner's page of rates: the next ones with their day, and what holds when."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.people.models import Person, Shop
from shop.people.queries import terms_at
from shop.people.terms_services import terms_set
from shop.records.errors import Refused
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db
URL = "/opening/settings/rates/"


@pytest.fixture
def owner(client_of: Callable[[str], Client]) -> Client:
    client = client_of("marit")
    client.post("/sign-in/", {"username": "marit", "password": PASSWORD})
    return client


def fields(client: Client) -> dict[str, Any]:
    """What the page would send, its tables too."""
    context = client.get(URL).context
    found = {f.name: f.value() for f in context["form"] if f.value() not in (None, "")}
    for rows in (
        context["tables"].tiers,
        context["tables"].labour,
        context["tables"].fixed,
    ):
        for form in (rows.management_form, *rows):
            found |= {f.html_name: "" if f.value() is None else f.value() for f in form}
    return found | {"idempotency_key": uuid4().hex}


def test_the_next_rates_begin_on_their_day(
    owner: Client, hollin_lane: Shop, sami: Person
) -> None:
    day = timezone.localdate() + timedelta(days=10)
    typed = fields(owner) | {
        "valid_from": day.isoformat(),
        "hourly_rate": "72,50",
        "labour-0-kind": "proof",
        "labour-0-person": sami.pk,
        "labour-0-rate": "80",
        "fixed-0-name": "Cleaning",
        "fixed-0-price": "49",
        "fixed-0-minutes": "30",
        "tier-0-percent": "",
        "tier-0-cost_below": "",
        "tier-0-least": "",
    }
    assert owner.post(URL, typed).status_code == 302
    now = timezone.now()
    assert terms_at(hollin_lane, now).hourly_rate_minor == 6000
    coming = terms_at(hollin_lane, now + timedelta(days=11))
    morning = datetime.combine(day, datetime.min.time(), hollin_lane.zone)
    assert (coming.hourly_rate_minor, coming.valid_from) == (7250, morning)
    assert coming.labour_rates.get().rate_minor == 8000
    assert coming.fixed_jobs.get().price_minor == 4900
    assert sorted(coming.markup_tiers.values_list("percent", flat=True)) == [15, 30]
    held = owner.get(URL).context["held"]
    assert [(one.is_coming, one.is_now, one.until) for one in held] == [
        (True, False, None),
        (False, True, morning),
    ]


def test_coming_rates_may_be_withdrawn_and_begun_ones_not(
    owner: Client, hollin_lane: Shop, marit: Person
) -> None:
    first = hollin_lane.terms.get()
    later = timezone.now() + timedelta(days=3)
    coming = terms_set(
        shop=hollin_lane, by=marit, seen=first.pk, at=later, hourly_rate_minor=1
    )
    with pytest.raises(Refused, match="withdraw them first"):
        terms_set(shop=hollin_lane, by=marit, seen=coming.pk, hourly_rate_minor=2)
    for terms in (first, coming):
        url = reverse("opening:rates_withdraw", args=[terms.pk])
        owner.post(url, {"idempotency_key": uuid4().hex})
    assert list(hollin_lane.terms.all()) == [first]
    assert first.markup_tiers.count() == 3


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"tax_percent": "120"}, "cannot be above 100"),
        ({"hourly_rate": "-1"}, "cannot be below 0"),
        ({"valid_from": "2020-01-01"}, "Rates begin today or later."),
        ({"labour-0-rate": "80"}, "For all work of everybody there is the rate."),
        ({"fixed-0-name": "Cleaning"}, "This field is required."),
        ({"tier-0-percent": "-5"}, "greater than or equal to 0"),
        ({"tier-1-cost_below": "20"}, "This row stands there twice."),
    ],
)
def test_wrong_rates_are_said_and_what_was_typed_is_kept(
    owner: Client, hollin_lane: Shop, wrong: dict[str, str], says: str
) -> None:
    answer = owner.post(URL, fields(owner) | wrong)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert hollin_lane.terms.count() == 1
    name, value = next(iter(wrong.items()))
    assert f'value="{value}"' in answer.content.decode(), name
