"""Donor boards: what is off them, what is still on, who has a part."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse

from diagnostics import donors
from diagnostics import services as bench
from diagnostics.models import Board, BoardModel, Intervention, Origin, TakenOff
from diagnostics.place import Place
from shop.billing.models import PartUse
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.diagnostics.conftest import MORNING
from tests.diagnostics.test_bench_page import keyed

CONTROLLER = "p.dual"


@pytest.fixture
def donor(heron: BoardModel, ines: Person) -> Board:
    return ours(
        bench.reference_board_keep(
            board_model=heron, by=ines, origin=Origin.DONOR, serial="D-1", at=MORNING
        ),
        ines,
    )


def ours(donor: Board, by: Person) -> Board:
    bench.donor_paper_keep(board=donor, by=by, kind="left", reference="DP-1")
    return donor


def page_of(donor: Board) -> str:
    return reverse("diagnostics:taken_off", args=[donor.pk])


def left_on(donor: Board) -> set[str]:
    (found,) = donors.donors_of([donor])
    return {part.id for part in found.left}


# --- taking off ---


def test_a_part_goes_to_a_ticket_and_both_say_so(
    at_bench: Client, donor: Board, job: Ticket, ines: Person
) -> None:
    assert CONTROLLER in left_on(donor)
    form = keyed(part_id=CONTROLLER, place="PU3", ticket=job.number)
    assert at_bench.post(page_of(donor), form).status_code == 302
    taken = TakenOff.objects.get()
    assert (taken.for_ticket, taken.intervention.by) == (job, ines)
    assert CONTROLLER not in left_on(donor)
    html = at_bench.get(page_of(donor)).content.decode()
    assert "3.3/5 V controller, PU3" in html
    assert Event.objects.filter(
        ticket_id=job.pk, kind=Kind.PART_SALVAGED, codes__part=CONTROLLER
    ).exists()
    story = at_bench.get(job.get_absolute_url()).content.decode()
    assert "Taken off a donor board: 3.3/5 V controller" in story


def test_the_donor_begins_its_next_epoch(donor: Board, ines: Person) -> None:
    bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER)
    act = Intervention.objects.get(board=donor)
    assert (act.kind, act.epoch, act.ticket) == ("removed", 1, None)


def test_the_ticket_is_not_billed_by_it_but_led_to(
    at_bench: Client, donor: Board, job: Ticket, ines: Person
) -> None:
    bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER, for_ticket=job)
    assert not job.part_uses.exists()
    (found,) = donors.donors_of([donor])
    page = at_bench.get(found.gone[0].salvage_url)
    form = page.context["form"]
    values = {name: form[name].value() for name in ("name", "part_id", "is_salvaged")}
    assert values == {
        "name": "3.3/5 V controller",
        "part_id": CONTROLLER,
        "is_salvaged": True,
    }
    sent = keyed(**values, quantity=1, price="4.00")
    sent |= {"is_salvaged": "on", "is_in_board": "on"}
    assert at_bench.post(found.gone[0].salvage_url, sent).status_code == 302
    use = PartUse.objects.get(ticket=job)
    assert (use.part_id, use.cost_minor, use.is_salvaged) == (CONTROLLER, 0, True)


def test_what_the_family_does_not_know_goes_by_its_name(
    donor: Board, ines: Person
) -> None:
    before = left_on(donor)
    bench.part_take_off(board=donor, by=ines, name="hinge screw", place="left")
    (found,) = donors.donors_of([donor])
    assert [one.name for one in found.gone] == ["hinge screw"]
    assert left_on(donor) == before


def test_fitted_again_it_is_still_on(donor: Board, ines: Person) -> None:
    bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER, place="PU3")
    bench.intervention_do(
        board=donor, ticket=None, by=ines, kind="fitted", part_id=CONTROLLER
    )
    assert CONTROLLER in left_on(donor)


def test_of_one_kind_several_are_taken_off_by_their_places(
    donor: Board, ines: Person
) -> None:
    for place in ("C-a", "C-b"):
        bench.part_take_off(board=donor, by=ines, part_id="p.cmain", place=place)
    (found,) = donors.donors_of([donor])
    assert [one.act.place for one in found.gone] == ["C-b", "C-a"]
    with pytest.raises(Refused, match="taken off already, by Ines"):
        bench.part_take_off(board=donor, by=ines, part_id="p.cmain", place="C-a")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "Name the part"),
        ({"part_id": "p.none"}, "Select a valid choice"),
        ({"part_id": CONTROLLER, "ticket": "9999"}, "No ticket has this number"),
    ],
)
def test_a_refusal_stands_beside_its_field(
    at_bench: Client, donor: Board, fields: dict[str, str], said: str
) -> None:
    answer = at_bench.post(page_of(donor), keyed(**fields))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not TakenOff.objects.exists()


def test_a_closed_ticket_takes_no_part(donor: Board, job: Ticket, ines: Person) -> None:
    intake.outcome_record(ticket=job, by=ines, kind="fixed")
    intake.handover_do(ticket=job, by=ines, given_to="Ada Pell")
    with pytest.raises(Refused, match="closed"):
        bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER, for_ticket=job)


def test_only_a_donor_gives_parts(board: Board, ines: Person) -> None:
    with pytest.raises(Refused, match="donor boards only"):
        bench.part_take_off(board=board, by=ines, part_id=CONTROLLER)


def test_the_list_is_append_only(donor: Board, ines: Person) -> None:
    taken = bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER)
    with pytest.raises(DatabaseError), transaction.atomic():
        taken.delete()


# --- who has it ---


def test_those_that_still_have_the_part_come_first(
    donor: Board, heron: BoardModel, hollin_lane: Shop, ines: Person
) -> None:
    second = bench.reference_board_keep(
        board_model=heron, by=ines, origin=Origin.DONOR, serial="D-2"
    )
    ours(second, ines)
    bench.part_take_off(board=second, by=ines, part_id=CONTROLLER, place="PU3")
    offers = donors.who_has(hollin_lane, "3.3/5 v CONTROLLER")
    assert [one.donor.row for one in offers] == [donor, second]
    assert offers[0].left == ("3.3/5 V controller",)
    assert offers[1].gone[0].act.place == "PU3"
    assert donors.who_has(hollin_lane, "flux capacitor") == []
    assert donors.who_has(hollin_lane, "  ") == []


def test_the_search_finds_by_page_for_the_owner_too(
    client_of: Callable[[str], Client], donor: Board
) -> None:
    page = client_of("marit").get(reverse("desk:who_has"), {"q": "controller"})
    assert "D-1" in page.content.decode()


def test_the_reference_bench_shows_what_is_off(
    at_bench: Client, donor: Board, ines: Person
) -> None:
    at = MORNING + timedelta(days=1)
    bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER, place="PU3", at=at)
    html = at_bench.get(Place(None, donor).url()).content.decode()
    assert "Taken off: 1 part" in html
    assert page_of(donor) in html
