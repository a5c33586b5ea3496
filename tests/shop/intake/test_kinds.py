"""The kinds of intake, what ends them, and the warranty's decision."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.billing import queries as money
from shop.desk import services as desk
from shop.intake import arriving, cover, queries
from shop.intake import services as intake
from shop.intake.models import IntakeKind, Ticket
from shop.intake.paper_pages import printed_at_intake
from shop.people import stations
from shop.people.models import Person
from shop.printing.models import PrintJob, StationPrinter
from shop.records.errors import Refused
from tests.factories import TicketFactory
from tests.shop.intake.conftest import PAGE

Post = Callable[..., Any]
ROWS = {
    "machine-TOTAL_FORMS": "5",
    "machine-INITIAL_FORMS": "0",
    "machine-0-model": "Heron-14",
    "machine-0-serial": "S-1",
    "machine-0-told": "No light.",
    "machine-1-model": "Plover-15",
    "machine-1-told": "Fan howls.",
}


@pytest.fixture
def counter(client_of: Callable[[str], Client]) -> Client:
    return client_of("tomas")


def turn(ticket: Ticket) -> str:
    return queries.turn_of(ticket, timezone.now()).waits_for


@pytest.fixture
def repaired(tomas: Person, ines: Person) -> Ticket:
    """A ticket that was handed over: it may come back."""
    ticket = TicketFactory.create(by=tomas)
    intake.outcome_record(ticket=ticket, by=ines, kind="fixed")
    desk.invoice_issue(ticket=ticket, by=tomas)
    desk.hand_over(
        ticket=ticket, by=tomas, given_to="Ada", owing_reason="later", may_owe=True
    )
    return queries.ticket_get(ticket.shop, ticket.number)


@pytest.fixture
def back_again(repaired: Ticket, tomas: Person) -> Ticket:
    return TicketFactory.create(
        by=tomas,
        device=repaired.device,
        intake_kind="warranty",
        returns_to=repaired,
    )


# --- quick ---


def test_a_quick_intake_waits_to_be_finished(counter: Client, take_in: Post) -> None:
    take_in(counter, intake="quick", channel="")
    ticket = Ticket.objects.get()
    assert ticket.intake_kind == IntakeKind.QUICK
    assert len(arriving.questions_of(ticket)) == 6
    day = counter.get("/counter/").content.decode()
    assert f"/tickets/{ticket}/finish/" in day
    page = counter.get(f"/tickets/{ticket}/").content.decode()
    assert "6 left to ask" in page
    assert "Hot, smelling or swollen?" in page


def test_a_known_customers_address_outlives_a_quick_intake(
    counter: Client, take_in: Post
) -> None:
    take_in(counter, key="1", address="17 Weir Street", email="ada@pell.example")
    known = Ticket.objects.get().customer
    more = {"customer": known.pk, "version": known.version}
    take_in(counter, key="2", intake="quick", **more)
    known.refresh_from_db()
    assert (known.address, known.email) == ("17 Weir Street", "ada@pell.example")


def test_the_rest_is_kept_and_ends_it(
    counter: Client, take_in: Post, send: Post
) -> None:
    take_in(counter, intake="quick", serial="")
    ticket = Ticket.objects.get()
    rest = {"liquid": "yes", "hot_or_swollen": "yes", "things": ["adapter"]}
    url = f"/tickets/{ticket}/finish/"
    assert send(counter, url, key="9", serial="X-1", **rest).status_code == 302
    ticket.refresh_from_db()
    assert (ticket.liquid, ticket.dropped) == ("yes", "not_recorded")
    assert [thing.tag for thing in ticket.things.all()] == [1, 2]
    assert ticket.device.serial == "X-1"
    assert turn(ticket) == "pack_first"
    assert not arriving.is_unended(ticket, IntakeKind.QUICK)
    assert send(counter, url, key="10", **rest).status_code == 422


# --- parcel ---


def test_a_parcel_is_declared_then_unpacked(
    counter: Client, take_in: Post, send: Post
) -> None:
    declared = {"tracking": "WM 1", "declared": "Machine and pouch."}
    take_in(counter, intake="parcel", **declared)
    ticket = Ticket.objects.get()
    assert f"/tickets/{ticket}/unpack/" in counter.get("/counter/").content.decode()
    page = counter.get(f"/tickets/{ticket}/unpack/").content.decode()
    assert "Machine and pouch." in page
    url = f"/tickets/{ticket}/unpack/"
    assert send(counter, url, key="8", dropped="yes").status_code == 422
    seen = {"seen": "No pouch.", "dropped": "yes", "things": ["adapter"]}
    assert send(counter, url, key="9", **seen).status_code == 302
    ticket.refresh_from_db()
    assert ticket.dropped == "yes"
    assert "unpack" not in counter.get("/counter/").content.decode()


def test_a_parcel_needs_its_tracking_number(counter: Client, take_in: Post) -> None:
    assert take_in(counter, intake="parcel").status_code == 422


# --- board only ---


def test_what_another_repairer_did_is_told_on_the_ticket(
    counter: Client, take_in: Post
) -> None:
    theirs = {"their_work": "Changed the flash.", "their_readings": "main 0.5"}
    take_in(counter, intake="board_only", kind="bare_board", **theirs)
    ticket = Ticket.objects.get()
    assert [thing.kind for thing in ticket.things.all()] == ["board"]
    page = counter.get(f"/tickets/{ticket}/").content.decode()
    assert "Changed the flash." in page
    assert "main 0.5" in page


# --- several ---


def test_several_machines_are_tickets_of_one_group(
    counter: Client, take_in: Post
) -> None:
    answer = take_in(counter, intake="several", **ROWS)
    first, second = Ticket.objects.order_by("id")
    assert answer["Location"] == f"/tickets/{first}/together/"
    assert (first.came_with, second.came_with) == (None, first)
    assert first.customer == second.customer
    assert arriving.group_of(second) == [first, second]
    page = counter.get(answer["Location"]).content.decode()
    assert "2 machines came in together" in page
    assert second.number in counter.get(f"/tickets/{first}/").content.decode()


def test_several_are_printed_at_once(counter: Client, take_in: Post) -> None:
    """One slip, and with a roll at the station a tag for each thing of each."""
    with_it = {"machine-1-things": ["adapter"], "then": "print"}
    answer = take_in(counter, intake="several", **(ROWS | with_it))
    first, second = Ticket.objects.order_by("id")
    assert answer["Location"] == f"/tickets/{first}/job-slip.pdf"
    assert [thing.kind for thing in second.things.all()] == ["machine", "adapter"]
    station, _token = stations.station_enrol(
        shop=first.shop, by=Person.objects.get(username="tomas"), name="Counter"
    )
    StationPrinter.objects.create(station=station, paper="tag", printer="roll")
    printed_at_intake(first, station, Person.objects.get(username="tomas"))
    assert PrintJob.objects.filter(what="tag").count() == 3


def test_a_row_without_its_fault_takes_none_in(counter: Client, take_in: Post) -> None:
    answer = take_in(counter, intake="several", **(ROWS | {"machine-1-told": ""}))
    assert answer.status_code == 422
    assert not Ticket.objects.exists()
    assert "No light." in answer.content.decode(), "what was typed is kept"


def test_no_row_at_all_takes_none_in(counter: Client, take_in: Post) -> None:
    empty = {key: ROWS[key] for key in ("machine-TOTAL_FORMS", "machine-INITIAL_FORMS")}
    assert take_in(counter, intake="several", **empty).status_code == 422
    assert not Ticket.objects.exists()


# --- warranty ---


def test_a_warranty_check_refers_to_the_customers_ticket(
    counter: Client, take_in: Post, repaired: Ticket
) -> None:
    page = counter.get(
        f"/counter/new/?intake=warranty&returns_to={repaired}"
    ).content.decode()
    assert repaired.customer.name in page
    known = repaired.customer
    more = {"customer": known.pk, "version": known.version, "name": known.name}
    asked = PAGE | more | {"intake": "warranty", "returns_to": repaired.number}
    assert take_in(counter, **asked).status_code == 302
    ticket = Ticket.objects.latest("id")
    assert ticket.returns_to == repaired
    assert "Warranty check." in counter.get(f"/tickets/{ticket}/").content.decode()


@pytest.mark.parametrize(
    ("number", "said"), [("12345", "no ticket number"), ("19", "No ticket has")]
)
def test_an_earlier_ticket_that_is_none_is_said(
    counter: Client, take_in: Post, number: str, said: str
) -> None:
    answer = take_in(counter, intake="warranty", returns_to=number)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_an_open_or_another_customers_ticket_is_refused(
    repaired: Ticket, tomas: Person
) -> None:
    other = TicketFactory.create(by=tomas)
    for device, earlier in ((other.device, repaired), (other.device, other)):
        with pytest.raises(Refused):
            TicketFactory.create(
                by=tomas, device=device, intake_kind="warranty", returns_to=earlier
            )
    with pytest.raises(Refused):
        TicketFactory.create(by=tomas, intake_kind="warranty")


def test_no_fee_until_it_is_decided(back_again: Ticket, ines: Person) -> None:
    assert str(money.agreed(back_again).cap) == "0.00"
    assert str(money.balance(back_again).due) == "0.00"
    intake.warranty_decide(
        ticket=back_again, by=ines, is_covered=False, reason="Another stage."
    )
    assert not cover.covered_among([back_again.pk])
    assert str(money.agreed(back_again).cap) == "42.00"
    assert turn(back_again) == "quote_to_write"


def test_covered_work_and_parts_cost_nothing(
    back_again: Ticket, ticket: Ticket, ines: Person
) -> None:
    from shop.billing import services as billing
    from shop.money import Money

    intake.warranty_decide(
        ticket=back_again, by=ines, is_covered=True, reason="The same capacitor."
    )
    assert turn(back_again) == "repair_covered"
    assert cover.covered_among([back_again.pk, ticket.pk]) == {back_again.pk}
    billing.time_record(
        ticket=back_again, by=ines, person=ines, kind="repair", minutes=40
    )
    billing.part_use(
        ticket=back_again, by=ines, name="capacitor", cost=Money.of(1, "EUR")
    )
    assert str(money.agreed(back_again).used) == "0.00"


def test_a_decision_is_in_writing_and_on_a_warranty_check_only(
    back_again: Ticket, repaired: Ticket, ticket: Ticket, ines: Person
) -> None:
    with pytest.raises(Refused):
        intake.warranty_decide(ticket=back_again, by=ines, is_covered=True, reason=" ")
    with pytest.raises(Refused):
        intake.warranty_decide(ticket=ticket, by=ines, is_covered=True, reason="Why")


def test_the_page_decides(
    client_of: Callable[[str], Client], back_again: Ticket, send: Post
) -> None:
    url = f"/tickets/{back_again}/warranty/"
    bench = client_of("ines")
    assert send(bench, url, is_covered="yes", reason="Same.").status_code == 302
    page = bench.get(f"/tickets/{back_again}/").content.decode()
    assert "Covered." in page
    assert "Same." in page


# --- parking ---


def test_parking_is_one_tap_on_its_page(
    client_of: Callable[[str], Client], ticket: Ticket, send: Post
) -> None:
    bench = client_of("ines")
    url = f"/tickets/{ticket}/park/"
    assert "Drying after cleaning" in bench.get(url).content.decode()
    answer = send(bench, url, preset="drying", **{"from": "bench"})
    assert answer["Location"] == "/bench/"
    now = timezone.now()
    parked = queries.turn_of(ticket, now)
    assert (parked.part, parked.waits_for) == ("parked", "parked_resting")
    hours = (parked.details["until"] - now).total_seconds() / 3600
    assert 23.9 < hours < 24.3
    assert "by you" in bench.get("/bench/").content.decode()
    later = queries.turn_of(ticket, parked.details["until"])
    assert later.part == "queue", "it ends by itself"


# --- data first ---


def test_data_is_safe_by_somebody_in_some_way(
    client_of: Callable[[str], Client], tomas: Person, send: Post
) -> None:
    ticket = TicketFactory.create(by=tomas, goal="data_only")
    page = client_of("ines").get(f"/tickets/{ticket}/").content.decode()
    assert "Held off until the data is safe" in page
    url = f"/tickets/{ticket}/data-safe/"
    assert send(client_of("ines"), url, key="1").status_code == 422
    assert send(client_of("ines"), url, key="2", how="drive_apart").status_code == 302
    page = client_of("ines").get(f"/tickets/{ticket}/").content.decode()
    assert "Data safe: drive taken out and put aside" in page
    assert "Ines Okafor" in page
