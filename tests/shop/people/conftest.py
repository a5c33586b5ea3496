"""A bench tablet that the shop knows, and codes of an app made apart from the house."""

import base64
import hashlib
import hmac
import struct
import time
from collections.abc import Callable
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from django.test import Client

from shop.people import pins, sealing, stations
from shop.people.models import Person, Shop, Station

PIN = "7391"
SECRET = base64.b32encode(b"12345678901234567890").decode()


@pytest.fixture
def tablet(hollin_lane: Shop, marit: Person) -> tuple[Station, str]:
    return stations.station_enrol(
        shop=hollin_lane, by=marit, name="Bench tablet", is_bench=True
    )


@pytest.fixture
def at_tablet(tablet: tuple[Station, str], settings: Any) -> Callable[[], Client]:
    """``at_tablet()``: a browser of the enrolled bench tablet."""

    def browser() -> Client:
        client = Client()
        client.cookies[settings.STATION_COOKIE] = tablet[1]
        return client

    return browser


@pytest.fixture
def ines_pin(ines: Person, hollin_lane: Shop) -> str:
    pins.pin_set(person=ines, shop=hollin_lane, digits=PIN)
    return PIN


@pytest.fixture
def app_of() -> Callable[[Person], None]:
    """``app_of(marit)``: she has set up an app with the secret of RFC 6238."""

    def set_up(person: Person) -> None:
        Authenticator.objects.create(
            user=person,
            type=Authenticator.Type.TOTP,
            data={"secret": sealing.seal(SECRET)},
        )

    return set_up


def code_now(secret: str = SECRET, *, steps: int = 0) -> str:
    """RFC 6238 over RFC 4226, written here anew from their text: HMAC-SHA-1, six
    digits, thirty seconds.
    """
    counter = struct.pack(">Q", int(time.time()) // 30 + steps)
    digest = hmac.new(base64.b32decode(secret), counter, hashlib.sha1).digest()
    at = digest[19] & 15
    number = int.from_bytes(digest[at : at + 4], "big") & 0x7FFFFFFF
    return f"{number % 10**6:06}"
