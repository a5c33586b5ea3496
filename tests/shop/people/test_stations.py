"""The shop's own computers and tablets, and the sign-in that must be fresh."""

import time
from collections.abc import Callable
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory

from shop.people import stations
from shop.people.access import FRESH
from shop.people.models import Person, Shop, Station
from tests.factories import PASSWORD

ClientOf = Callable[[str], Client]


@pytest.fixture
def bench(hollin_lane: Shop, marit: Person) -> tuple[Station, str]:
    return stations.station_enrol(
        shop=hollin_lane, by=marit, name="Bench tablet", is_bench=True
    )


def seen_with(token: str, settings: Any) -> Station | None:
    request = RequestFactory().get("/")
    request.COOKIES[settings.STATION_COOKIE] = token
    return stations.station_of(request)


def test_a_station_is_known_by_its_token(
    bench: tuple[Station, str], settings: Any
) -> None:
    station, token = bench
    assert seen_with(token, settings) == station
    assert token not in station.token_hash


def test_another_token_is_a_stranger(bench: tuple[Station, str], settings: Any) -> None:
    assert seen_with(bench[1] + "x", settings) is None
    assert seen_with("", settings) is None


def test_an_ended_station_is_a_stranger(
    bench: tuple[Station, str], marit: Person, settings: Any
) -> None:
    station, token = bench
    stations.station_end(station=station, by=marit)
    ended_at = station.ended_at
    stations.station_end(station=station, by=marit)
    assert station.ended_at == ended_at
    assert seen_with(token, settings) is None


def test_the_cookie_is_out_of_reach_of_scripts(settings: Any) -> None:
    response = HttpResponse()
    stations.remember(response, "token")
    cookie = response.cookies[settings.STATION_COOKIE]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Strict"


def test_the_password_again_makes_a_sign_in_fresh(client_of: ClientOf) -> None:
    client = client_of("ines")
    session = client.session
    session[FRESH] = time.time() - 3600
    session.save()
    wrong = client.post("/sign-in/again/", {"password": "ines"})
    assert wrong.status_code == 422
    assert client.session[FRESH] < time.time() - 3000
    right = {"password": PASSWORD, "next": "/me/"}
    done = client.post("/sign-in/again/", right)
    assert (done.status_code, done["Location"]) == (302, "/me/")
    assert client.session[FRESH] > time.time() - 60


def test_it_leads_nowhere_else(client_of: ClientOf) -> None:
    form = {"password": PASSWORD, "next": "https://evil.example/"}
    done = client_of("ines").post("/sign-in/again/", form)
    assert done["Location"] == "/"
