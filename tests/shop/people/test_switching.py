"""Switching at a bench tablet by PIN or badge. ASVS 5.0.0 ids in brackets."""

import contextlib
import logging
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shop.people import badges, pins, services, stations
from shop.people.models import Membership, Person, Pin, Role, Shop, Station
from shop.records.errors import Refused
from shop.records.models import Event, KeptAnswer
from tests.factories import PASSWORD

AtTablet = Callable[[], Client]
ClientOf = Callable[[str], Client]
SWITCH = "/sign-in/switch/"


def by_pin(client: Client, person: Person, pin: str) -> int:
    return client.post(SWITCH, {"person": person.pk, "pin": pin}).status_code


def test_a_pin_opens_the_bench_and_nothing_else(
    at_tablet: AtTablet, marit: Person, hollin_lane: Shop, ines_pin: str
) -> None:
    """[8.2.1] Technician's rights, whatever else the person may do elsewhere."""
    Membership.objects.create(shop=hollin_lane, person=marit, role=Role.TECHNICIAN)
    pins.pin_set(person=marit, shop=hollin_lane, digits="8264")
    client = at_tablet()
    assert by_pin(client, marit, "8264") == 302
    assert client.get("/bench/").status_code == 200
    assert client.get("/office/").status_code == 403
    assert client.get("/people/").status_code == 403


def test_a_pin_is_never_fresh(at_tablet: AtTablet, ines: Person, ines_pin: str) -> None:
    """[7.5.1] What is tender asks for the whole sign-in, not for the PIN again."""
    client = at_tablet()
    by_pin(client, ines, ines_pin)
    page = client.get("/me/pin/", follow=True)
    assert "more than a PIN" in page.content.decode()
    full = client.post("/sign-in/again/", {"full": "yes", "next": "/me/pin/"})
    assert full["Location"] == "/sign-in/?next=/me/pin/"
    assert client.get("/bench/").status_code == 302, "the PIN's session is over"


def test_the_password_alone_does_not_make_a_pin_session_a_full_one(
    at_tablet: AtTablet, ines: Person, ines_pin: str
) -> None:
    client = at_tablet()
    by_pin(client, ines, ines_pin)
    assert client.post("/sign-in/again/", {"password": PASSWORD}).status_code == 422
    assert client.get("/me/pin/")["Location"].startswith("/sign-in/again/")


def test_it_holds_at_its_tablet_only(
    at_tablet: AtTablet, ines: Person, ines_pin: str, settings: Any
) -> None:
    """[7.2.1] A session's cookie that was copied to another browser is refused."""
    client = at_tablet()
    by_pin(client, ines, ines_pin)
    copied = Client()
    name = settings.SESSION_COOKIE_NAME
    copied.cookies[name] = client.cookies[name].value
    assert copied.get("/bench/").status_code == 302


def test_a_station_that_is_ended_while_somebody_works_stops_at_once(
    at_tablet: AtTablet,
    tablet: tuple[Station, str],
    ines: Person,
    ines_pin: str,
    marit: Person,
) -> None:
    client = at_tablet()
    by_pin(client, ines, ines_pin)
    assert client.get("/bench/").status_code == 200
    stations.station_end(station=tablet[0], by=marit)
    assert client.get("/bench/")["Location"].startswith("/sign-in/?")
    assert client.get(SWITCH).status_code == 404


def test_elsewhere_there_is_no_switching(
    client: Client, ines: Person, ines_pin: str
) -> None:
    assert by_pin(client, ines, ines_pin) == 404
    assert client.post("/sign-in/badge/", {"code": "x"}).status_code == 404


def test_only_the_shops_technicians_are_shown_and_let_in(
    at_tablet: AtTablet, ines: Person, tomas: Person, elsewhere: Person
) -> None:
    client = at_tablet()
    page = client.get(SWITCH).content.decode()
    assert "Ines" in page
    for name in (ines.name, tomas.name, "Tomas", elsewhere.name):
        assert name not in page
    assert by_pin(client, tomas, "7391") == by_pin(client, elsewhere, "7391") == 422


def test_two_of_one_first_name_are_shown_whole(
    at_tablet: AtTablet, ines: Person, sami: Person
) -> None:
    Person.objects.filter(pk=sami.pk).update(name="Ines Aalto")
    page = at_tablet().get(SWITCH).content.decode()
    assert ines.name in page
    assert "Ines Aalto" in page


def test_five_wrong_pins_and_it_sleeps_until_the_full_sign_in(
    at_tablet: AtTablet, ines: Person, ines_pin: str, hollin_lane: Shop, marit: Person
) -> None:
    """[6.3.1, 6.1.1] Counted over all tablets; the right PIN comes too late then."""
    _station, other = stations.station_enrol(
        shop=hollin_lane, by=marit, name="Other", is_bench=True
    )
    clients = [at_tablet(), at_tablet()]
    clients[1].cookies["coldrail-station"] = other
    assert [by_pin(clients[n % 2], ines, "0001") for n in range(5)] == [422] * 5
    late = clients[0].post(SWITCH, {"person": ines.pk, "pin": ines_pin})
    assert late.status_code == 422
    assert "the PIN sleeps" in late.content.decode()
    right = {"username": "ines", "password": PASSWORD}
    assert Client().post("/sign-in/", right).status_code == 302
    assert by_pin(clients[0], ines, ines_pin) == 302


def test_a_tablet_sleeps_too_when_guessing_goes_from_name_to_name(
    at_tablet: AtTablet, tablet: tuple[Station, str], ines: Person, ines_pin: str
) -> None:
    Station.objects.filter(pk=tablet[0].pk).update(wrong_tries=pins.TRIES_AT_STATION)
    client = at_tablet()
    assert by_pin(client, ines, ines_pin) == 422
    client.post("/sign-in/", {"username": "ines", "password": PASSWORD})
    client.post("/sign-out/")
    assert by_pin(client, ines, ines_pin) == 302


def test_many_guesses_at_once_are_five_guesses(
    tablet: tuple[Station, str],
    ines: Person,
    ines_pin: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """[15.4.2] A try is taken before it is looked at: while one is being looked at,
    the next comes in, as from twelve tablets in the same moment.
    """
    looked: list[str] = []

    def slow_look(pin: Pin, digits: str) -> bool:
        looked.append(digits)
        if int(digits) < 4012:
            with contextlib.suppress(Refused):
                pins.is_right(ines, str(int(digits) + 1), tablet[0])
        return False

    monkeypatch.setattr(pins, "_fits", slow_look)
    assert not pins.is_right(ines, "4001", tablet[0])
    assert len(looked) == 5


@pytest.mark.parametrize(
    "digits", ["0000", "1234", "9876", "1212", "1987", "2024", "12"]
)
def test_trivial_pins_are_refused(digits: str, client_of: ClientOf) -> None:
    assert client_of("ines").post("/me/pin/", {"pin": digits}).status_code == 422
    assert not Pin.objects.exists()


def test_a_pin_is_in_no_log_no_kept_answer_and_unguessable_without_the_key(
    client_of: ClientOf, ines: Person, caplog: pytest.LogCaptureFixture, settings: Any
) -> None:
    """[16.2.5, 11.4.2] Its hash is keyed: a stolen table can't be tried out."""
    with caplog.at_level(logging.DEBUG):
        assert client_of("ines").post("/me/pin/", {"pin": "7391"}).status_code == 302
    assert not KeptAnswer.objects.exists()
    assert "7391" not in caplog.text
    pin = Pin.objects.get(person=ines)
    assert pins._fits(pin, "7391")
    settings.SECRET_KEY = "another key" * 6
    assert not pins._fits(pin, "7391")


def test_a_scanned_badge_switches_whoever_was_there(
    at_tablet: AtTablet, ines: Person, sami: Person, hollin_lane: Shop, marit: Person
) -> None:
    """[11.5.1] At least 128 bits, kept as a hash."""
    assert badges.BITS >= 128
    client = at_tablet()
    for person in (ines, sami):
        badge, code = badges.badge_make(person=person, shop=hollin_lane, by=marit)
        assert code.removeprefix("CR-B-") not in badge.token_hash
        form = {"code": code, "next": "/bench/meters/"}
        assert client.post("/sign-in/badge/", form)["Location"] == "/bench/meters/"
        assert client.get("/bench/").context["user"] == person


def test_a_badge_is_read_from_a_scanner_of_another_keyboard(
    ines: Person, hollin_lane: Shop, marit: Person
) -> None:
    badge, code = badges.badge_make(person=ines, shop=hollin_lane, by=marit)
    for typed in (code.lower(), code.replace("-", "ß"), f" {code} "):
        assert badges.badge_of(typed, hollin_lane) == badge
    assert badges.badge_of(code[:-1], hollin_lane) is None


def test_a_lost_badge_is_ended_in_one_tap(
    at_tablet: AtTablet, client_of: ClientOf, ines: Person, hollin_lane: Shop
) -> None:
    badge, code = badges.badge_make(person=ines, shop=hollin_lane, by=ines)
    form = {"badge": badge.pk, "idempotency_key": "a-key-of-its-own-5"}
    assert client_of("sami").post("/people/badges/end/", form).status_code == 404
    assert client_of("ines").post("/people/badges/end/", form).status_code == 302
    answer = at_tablet().post("/sign-in/badge/", {"code": code})
    assert answer["Location"] == SWITCH
    assert [e.kind for e in Event.objects.order_by("-id")[:1]] == ["badge_ended"]


def test_the_scanners_script_is_told_where_to_go(
    at_tablet: AtTablet, ines: Person, hollin_lane: Shop
) -> None:
    _badge, code = badges.badge_make(person=ines, shop=hollin_lane, by=ines)
    wants = {"Accept": "application/json"}
    client = at_tablet()
    wrong = client.post("/sign-in/badge/", {"code": "CR-B-2"}, headers=wants)
    assert (wrong.status_code, list(wrong.json())) == (422, ["said"])
    right = client.post("/sign-in/badge/", {"code": code}, headers=wants)
    assert right.json() == {"url": "/bench/"}
    assert client.get("/bench/").status_code == 200


def test_another_shops_badge_opens_nothing(
    at_tablet: AtTablet, elsewhere: Person, marit: Person
) -> None:
    shop = elsewhere.memberships.all()[0].shop
    _badge, code = badges.badge_make(person=elsewhere, shop=shop, by=elsewhere)
    answer = at_tablet().post("/sign-in/badge/", {"code": code})
    assert answer["Location"] == SWITCH


def test_the_badge_is_a_card_with_its_code(
    client_of: ClientOf, ines: Person, hollin_lane: Shop, at_tablet: AtTablet
) -> None:
    import pypdfium2
    import zxingcpp

    url = f"/people/{ines.pk}/badge/"
    card = client_of("marit").post(url, {"sure": "yes"})
    assert card["Content-Type"] == "application/pdf"
    pdf = pypdfium2.PdfDocument(card.content)
    assert len(pdf) == 1
    width, height = (points / 72 * 25.4 for points in pdf[0].get_size())
    assert (round(width, 1), round(height, 1)) == (85.6, 54.0)
    picture = pdf[0].render(scale=4).to_pil()
    code = zxingcpp.read_barcodes(picture)[0].text
    assert at_tablet().post("/sign-in/badge/", {"code": code})["Location"] == "/bench/"


def test_leaving_ends_a_pin_session_at_the_next_request(
    at_tablet: AtTablet, ines: Person, ines_pin: str, hollin_lane: Shop, marit: Person
) -> None:
    """[7.4.2] Whoever left is out at the next tap, and the PIN with them."""
    client = at_tablet()
    by_pin(client, ines, ines_pin)
    services.person_leave(shop=hollin_lane, person=ines, by=marit)
    assert client.get("/bench/")["Location"].startswith(SWITCH)
    assert by_pin(client, ines, ines_pin) == 422
