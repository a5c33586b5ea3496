"""The trail: who did what and when, found by person, kind, ticket and day."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shop.books.services import reminder_rules_set
from shop.intake.models import Ticket
from shop.office import trail
from shop.people.models import Person, Shop
from shop.people.stations import station_enrol
from shop.photos.services import keeping_set
from shop.printing.services import printers_set
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event

ClientOf = Callable[[str], Client]
pytestmark = pytest.mark.django_db


def happened(shop: Shop, by: Person | None, kind: Kind, days: int = 0) -> Event:
    return records.event_record(
        kind,
        shop_id=shop.pk,
        by_id=by.pk if by else None,
        at=timezone.now() - timedelta(days=days),
    )


def found(shop: Shop, **asked: object) -> set[int]:
    return set(trail.events_of(shop, asked).values_list("pk", flat=True))


def test_each_way_to_look_and_all_together(
    hollin_lane: Shop, ticket: Ticket, marit: Person, tomas: Person
) -> None:
    old = happened(hollin_lane, marit, Kind.PIN_SET, days=9)
    new = happened(hollin_lane, tomas, Kind.PIN_SET)
    mine = happened(hollin_lane, None, Kind.TEXTS_READ)
    assert {old.pk, new.pk} == found(hollin_lane, kind=Kind.PIN_SET)
    assert old.pk in found(hollin_lane, who=str(marit.pk))
    assert new.pk not in found(hollin_lane, who=str(marit.pk))
    assert mine.pk in found(hollin_lane, who="0")
    day = timezone.now().astimezone(hollin_lane.zone).date()
    assert new.pk in found(hollin_lane, since=day, until=day)
    assert old.pk not in found(hollin_lane, since=day, until=day)
    of_ticket = found(hollin_lane, ticket=ticket.number)
    assert of_ticket == set(
        Event.objects.filter(ticket_id=ticket.pk).values_list("pk", flat=True)
    )
    assert found(hollin_lane, kind=Kind.PIN_SET, who=str(tomas.pk)) == {new.pk}


def test_pages_follow_each_other_without_a_gap(
    hollin_lane: Shop, marit: Person, client_of: ClientOf
) -> None:
    """Many at the same moment too, which only their numbers tell apart."""
    moment = timezone.now()
    for _number in range(120):
        records.event_record(
            Kind.PIN_SET, shop_id=hollin_lane.pk, by_id=marit.pk, at=moment
        )
    seen, mark = list[int](), ""
    while True:
        rows, mark = trail.page(
            trail.events_of(hollin_lane, {"kind": Kind.PIN_SET}), mark, hollin_lane
        )
        seen += [row.event.pk for row in rows]
        if not mark:
            break
    assert seen == sorted(seen, reverse=True)
    assert len(seen) == len(set(seen)) == 120
    page = client_of("marit").get("/office/trail/?kind=pin_set&after=nonsense")
    assert page.status_code == 200
    assert page.content.decode().count("<td data-head=") == 4 * trail.ON_A_PAGE


def test_a_page_costs_a_few_queries_however_long(
    hollin_lane: Shop, ticket: Ticket, marit: Person
) -> None:
    for _number in range(60):
        happened(hollin_lane, marit, Kind.PIN_SET)
    with CaptureQueriesContext(
        connection,
    ) as asked:
        trail.page(trail.events_of(hollin_lane, {}), "", hollin_lane)
    assert len(asked) <= 3


def test_what_cannot_be_found_is_said(client_of: ClientOf, ticket: Ticket) -> None:
    owner = client_of("marit")
    for query in ("ticket=999", "since=yesterday", "who=me", "kind=moon_reached"):
        assert owner.get(f"/office/trail/?{query}").status_code == 422
    assert client_of("tomas").get("/office/trail/").status_code == 403


def test_a_late_entry_says_both_times(hollin_lane: Shop, marit: Person) -> None:
    happened(hollin_lane, marit, Kind.PIN_SET, days=1)
    rows, _mark = trail.page(
        trail.events_of(hollin_lane, {"kind": Kind.PIN_SET}), "", hollin_lane
    )
    assert rows[0].typed_at is not None


def newest(shop: Shop) -> str:
    rows, _mark = trail.page(trail.events_of(shop, {}), "", shop)
    return f"{rows[0].said} ({rows[0].about})" if rows[0].about else rows[0].said


def test_a_setting_says_what_it_was_and_what_it_is(
    hollin_lane: Shop, marit: Person
) -> None:
    reminder_rules_set(shop=hollin_lane, by=marit, first=7, second=21, last=40)
    reminder_rules_set(shop=hollin_lane, by=marit, first=7, second=28, last=40)
    assert newest(hollin_lane) == (
        "Reminders of payments: days to the second reminder of a payment 21 → 28"
    )
    keeping_set(shop=hollin_lane, by=marit, days=90)
    keeping_set(shop=hollin_lane, by=marit, days=30)
    assert newest(hollin_lane) == (
        "How long photos stay: days that photos stay after the handover 90 → 30"
    )


def test_a_station_and_its_printers_are_named(hollin_lane: Shop, marit: Person) -> None:
    station, _token = station_enrol(shop=hollin_lane, by=marit, name="Back desk")
    assert newest(hollin_lane) == "Station enrolled (Back desk)"
    for _again in range(2):
        printers_set(
            station=station, by=marit, chosen={"slip": "desk"}, known=["desk", "roll"]
        )
    assert Event.objects.filter(kind=Kind.PRINTERS_SET).count() == 1
    assert newest(hollin_lane) == (
        "Printers of a station set: job slips and invoices – → desk (Back desk)"
    )
