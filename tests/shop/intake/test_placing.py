"""Places made and ended, things put there and taken back, and scans that lead on."""

import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shop.intake import places, queries, scans, services
from shop.intake.models import Place, Thing, Ticket
from shop.intake.services import ThingDraft
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.factories import TicketFactory

ClientOf = Callable[[str], Client]
DATA = {"Accept": "application/json"}


@pytest.fixture
def shelves(hollin_lane: Shop, marit: Person) -> list[Place]:
    return services.places_make(
        shop=hollin_lane, by=marit, names="C1 to C4", kind="shelf"
    )


@pytest.fixture
def thing(tomas: Person) -> Thing:
    ticket = TicketFactory.create(by=tomas, things=[ThingDraft("adapter")])
    return ticket.things.get(tag=1)


def send(client: Client, url: str, **fields: str) -> Any:
    form = {"idempotency_key": str(uuid.uuid4()), **fields}
    return client.post(url, form, headers=DATA)


def asked(client: Client, code: str) -> Any:
    return client.get("/scan/", {"code": code}, headers=DATA).json()


def tag_of(thing: Thing) -> str:
    return scans.tag_code(thing.ticket.number, thing.tag)


def test_a_row_of_places_is_made_at_once_and_counted_rightly(
    hollin_lane: Shop, marit: Person
) -> None:
    services.places_make(shop=hollin_lane, by=marit, names="C9 to C11", kind="shelf")
    more = services.places_make(
        shop=hollin_lane, by=marit, names="c10, C2", kind="drawer"
    )
    assert [place.name for place in more] == ["C2"]
    assert [p.name for p in places.of(hollin_lane)] == ["C2", "C9", "C10", "C11"]


@pytest.mark.parametrize(
    "names",
    ["", " , ;", "C8 to C1", "C1 to D8", "C1 to C999", "x" * 21, "1-3333", "C1\0 to"],
)
def test_a_list_that_makes_no_sense_is_refused_whole(
    hollin_lane: Shop, marit: Person, names: str
) -> None:
    if names == "C1\0 to":
        names = "C1\0 to C0"
    with pytest.raises(Refused):
        services.places_make(shop=hollin_lane, by=marit, names=names, kind="shelf")
    assert not Place.objects.exists()


def test_a_name_is_free_again_when_its_place_has_ended(
    shelves: list[Place], hollin_lane: Shop, marit: Person
) -> None:
    services.place_end(place=shelves[0], by=marit)
    (anew,) = services.places_make(shop=hollin_lane, by=marit, names="C1", kind="rack")
    assert places.named(hollin_lane, "c1") == anew


def test_a_thing_lies_where_it_was_put_last(
    shelves: list[Place], thing: Thing, tomas: Person
) -> None:
    services.thing_move(thing=thing, by=tomas, place="c1")
    assert places.things_at(shelves[0]) == [thing]
    last = services.thing_move(thing=thing, by=tomas, place="C2")
    assert places.things_at(shelves[0]) == []
    assert places.things_at(shelves[1]) == [thing]
    assert queries.things_of(thing.ticket)[0].place == "C2"
    services.thing_move_back(thing=thing, by=tomas, event_id=last.pk)
    assert places.things_at(shelves[0]) == [thing]
    with pytest.raises(Refused):
        services.thing_move_back(thing=thing, by=tomas, event_id=last.pk)
    services.thing_move(thing=thing, by=tomas, place="the red box")
    assert places.things_at(shelves[0]) == []
    services.thing_return(thing=thing, by=tomas)
    with pytest.raises(Refused):
        services.thing_move(thing=thing, by=tomas, place="C1")


def test_the_day_list_says_where_with_one_query(
    shelves: list[Place],
    thing: Thing,
    tomas: Person,
    client_of: ClientOf,
    django_assert_num_queries: Callable[[int], Any],
) -> None:
    services.thing_move(thing=thing, by=tomas, place="C3")
    with django_assert_num_queries(1):
        assert queries.places_by_ticket([thing.ticket]) == {thing.ticket_id: ["C3"]}
    assert "at C3" in client_of("tomas").get("/counter/").content.decode()


def test_a_scan_says_what_it_is_and_where_it_leads(
    shelves: list[Place], thing: Thing, client_of: ClientOf
) -> None:
    client, number = client_of("ines"), thing.ticket.number
    at = thing.ticket.get_absolute_url()
    assert asked(client, number)["url"] == at
    tag = asked(client, f"{number}-1")
    assert (tag["kind"], tag["code"], tag["url"]) == ("tag", tag_of(thing), at)
    place = asked(client, scans.place_code(shelves[0].pk))
    assert (place["kind"], place["said"]) == ("place", "C1, shelf")
    assert asked(client, "c1") == place
    assert asked(client, "9501101530003")["url"] == "/find/?q=9501101530003"
    assert asked(client, "ZX-1")["said"] == "“ZX-1” is no code of ours."
    assert asked(client, "CRN1")["kind"] == "misread"
    wrong = number[:-1] + str((int(number[-1]) + 1) % 10)
    assert number in asked(client, f"CRT{wrong}X1")["said"]
    assert asked(client, scans.tag_code(number, 9))["kind"] == "unknown"


def test_a_scan_of_another_shop_leads_nowhere(
    shelves: list[Place], thing: Thing, client_elsewhere: Client
) -> None:
    for code in (
        thing.ticket.number,
        tag_of(thing),
        scans.place_code(shelves[0].pk),
    ):
        assert asked(client_elsewhere, code)["url"] == ""
    answer = send(client_elsewhere, "/scan/put/", thing=tag_of(thing), place="C1")
    assert answer.status_code == 422


def test_a_thing_is_put_and_taken_back_by_scans(
    shelves: list[Place], thing: Thing, client_of: ClientOf
) -> None:
    client = client_of("ines")
    place = scans.place_code(shelves[3].pk)
    answer = send(client, "/scan/put/", thing=tag_of(thing), place=place).json()
    assert answer["said"] == f"{thing.ticket.number}-1 put at C4"
    assert queries.things_of(thing.ticket)[0].place == "C4"
    back = send(client, "/scan/undo/", **answer["undo"])
    assert back.json()["place"] == "no place noted"
    assert queries.things_of(thing.ticket)[0].place == ""
    assert send(client, "/scan/undo/", **answer["undo"]).status_code == 422


def test_the_same_put_sent_twice_is_done_once(
    shelves: list[Place], thing: Thing, client_of: ClientOf
) -> None:
    client = client_of("ines")
    form = {"idempotency_key": "k" * 20, "thing": tag_of(thing), "place": "C1"}
    bodies = [client.post("/scan/put/", form, headers=DATA).content for _ in range(2)]
    assert bodies[0] == bodies[1]
    assert len(queries.events_of(thing.ticket)) == 2  # taken in, put once


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"thing": "C1", "place": "C2"}, "Scan a bag tag."),
        ({"thing": "nothing", "place": "C2"}, "“nothing” is no code of ours."),
        ({}, "Scan a place."),
    ],
)
def test_what_is_missing_is_said(
    shelves: list[Place], client_of: ClientOf, fields: dict[str, str], said: str
) -> None:
    answer = send(client_of("ines"), "/scan/put/", **fields)
    assert answer.status_code == 422
    assert said in answer.json()["said"]


def test_the_search_field_takes_scans_too(
    shelves: list[Place], thing: Thing, client_of: ClientOf
) -> None:
    client = client_of("tomas")
    code = scans.ticket_code(thing.ticket.number)
    answer = client.get("/find/", {"q": code}, follow=True)
    assert answer.redirect_chain[-1][0] == thing.ticket.get_absolute_url()
    answer = client.get("/find/", {"q": tag_of(thing)}, follow=True)
    assert "Put it at" in answer.content.decode()
    answer = client.get("/find/", {"q": "CR-B-SECRET9"}, follow=True)
    assert "SECRET9" not in answer.content.decode() + str(answer.redirect_chain)


def test_asking_writes_nothing(
    shelves: list[Place], thing: Thing, client_of: ClientOf
) -> None:
    before = len(queries.events_of(thing.ticket))
    client_of("tomas").get("/scan/", {"code": tag_of(thing)})
    assert len(queries.events_of(thing.ticket)) == before


def test_the_papers_of_places_are_served(
    shelves: list[Place], client_of: ClientOf, ticket: Ticket
) -> None:
    client = client_of("tomas")
    for at in (
        "/counter/places/labels.pdf",
        f"/counter/places/{shelves[0].pk}/label.pdf",
        f"/tickets/{ticket.number}/tags.pdf",
        f"/tickets/{ticket.number}/things/1/tag.pdf",
    ):
        assert client.get(at).content.startswith(b"%PDF"), at
