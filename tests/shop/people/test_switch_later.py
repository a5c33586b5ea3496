"""Switches at a tablet while the network was away: sealed there, checked here, once."""

import base64
import json
import os
import time
from collections.abc import Callable
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from django.test import Client

from shop.people import sealed_pin
from shop.people.models import LateSwitch, Person, Pin

AtTablet = Callable[[], Client]
LATER = "/sign-in/switch/later/"
KEY = "0b8c3c7e-0000-4000-8000-000000000001"


def sealed(what: dict[str, Any]) -> str:
    """As the tablet's script does it, with another library's means."""
    curve = ec.SECP256R1()
    raw = base64.b64decode(sealed_pin.public_key())
    own = ec.generate_private_key(curve)
    shared = own.exchange(
        ec.ECDH(), ec.EllipticCurvePublicKey.from_encoded_point(curve, raw)
    )
    key = HKDF(SHA256(), length=32, salt=b"", info=b"coldrail.switch").derive(shared)
    nonce = os.urandom(12)
    box = AESGCM(key).encrypt(nonce, json.dumps(what).encode(), None)
    point = own.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    return base64.b64encode(point + nonce + box).decode()


def told(whom: Person, pin: str, **other: Any) -> dict[str, str]:
    now = time.time() * 1000
    what = {"key": KEY, "person": whom.pk, "pin": pin, "at": now, **other}
    return {"key": str(what["key"]), "sealed": sealed(what)}


def test_the_right_pin_confirms_it_and_lets_the_person_in(
    at_tablet: AtTablet, ines: Person, ines_pin: str
) -> None:
    client = at_tablet()
    answer = client.post(LATER, told(ines, ines_pin)).json()
    assert answer == {"key": KEY, "person": ines.pk, "confirmed": True}
    assert client.get("/bench/").context["user"] == ines


def test_the_same_switch_is_checked_exactly_once(
    at_tablet: AtTablet, ines: Person, ines_pin: str
) -> None:
    client = at_tablet()
    for _time in range(4):
        assert not client.post(LATER, told(ines, "4826")).json()["confirmed"]
    assert Pin.objects.get().wrong_tries == 1
    assert not client.post(LATER, told(ines, ines_pin)).json()["confirmed"]
    assert LateSwitch.objects.count() == 1


def test_a_wrong_pin_is_kept_as_not_confirmed_and_signs_out(
    at_tablet: AtTablet, ines: Person, sami: Person, ines_pin: str
) -> None:
    client = at_tablet()
    client.post("/sign-in/switch/", {"person": ines.pk, "pin": ines_pin})
    time.sleep(0.01)
    client.post(LATER, told(sami, "4826"))
    assert client.get("/bench/").status_code == 302
    kept = LateSwitch.objects.get()
    assert (kept.person, kept.is_confirmed) == (sami, False)


def test_an_older_switch_reported_late_moves_nobody(
    at_tablet: AtTablet, ines: Person, sami: Person, ines_pin: str
) -> None:
    client = at_tablet()
    before = (time.time() - 60) * 1000
    client.post("/sign-in/switch/", {"person": ines.pk, "pin": ines_pin})
    client.post(LATER, told(sami, "4826", at=before))
    assert client.get("/bench/").context["user"] == ines


def test_guessing_through_it_is_five_tries_as_well(
    at_tablet: AtTablet, ines: Person, ines_pin: str
) -> None:
    """[6.3.1] The sealed way is no way around."""
    client = at_tablet()
    for n in range(5):
        client.post(LATER, told(ines, "4826", key=f"another-key-of-it-{n}"))
    late = client.post(LATER, told(ines, ines_pin)).json()
    assert not late["confirmed"]


@pytest.mark.parametrize(
    "change",
    [
        {"person": 0},
        {"person": "1"},
        {"at": "now"},
        {"key": "short"},
    ],
)
def test_what_makes_no_sense_is_refused(
    change: dict[str, Any], at_tablet: AtTablet, ines: Person, ines_pin: str
) -> None:
    answer = at_tablet().post(LATER, told(ines, ines_pin, **change))
    assert answer.status_code == 422
    assert not LateSwitch.objects.exists()


def test_a_flipped_or_foreign_seal_is_refused(
    at_tablet: AtTablet, ines: Person, ines_pin: str
) -> None:
    """[11.3.3] Flipped ciphertext, another key's, and nonsense."""
    client, form = at_tablet(), told(ines, ines_pin)
    box = bytearray(base64.b64decode(form["sealed"]))
    box[-1] ^= 1
    wrong = [base64.b64encode(bytes(box)).decode(), "", "%%%", "AAAA"]
    wrong.append(base64.b64encode(b"\4" + bytes(90)).decode())
    for seal in wrong:
        assert client.post(LATER, form | {"sealed": seal}).status_code == 422
    other = form | {"key": "0b8c3c7e-0000-4000-8000-000000000002"}
    assert client.post(LATER, other).status_code == 422


def test_a_seal_survives_the_rotation_of_the_key(settings: Any, ines: Person) -> None:
    form, first = told(ines, "7391"), settings.SECRET_KEY
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another" * 9, [first]
    found = sealed_pin.opened(form["sealed"])
    assert found is not None
    assert found["pin"] == "7391"
    settings.SECRET_KEY_FALLBACKS = []
    assert sealed_pin.opened(form["sealed"]) is None


def test_away_from_a_tablet_there_is_no_such_page(ines: Person, client: Client) -> None:
    assert client.post(LATER, told(ines, "7391")).status_code == 404
