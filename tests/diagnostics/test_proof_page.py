"""The proof at the bench: taps, ticks, timers, what is read again, and the end."""

import io
from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader

from diagnostics import evidence, papers, proof_again, proof_closing, queries
from diagnostics import services as bench
from diagnostics.models import Board, MachineRun, ProofItem
from diagnostics.proof import (
    BOTH_PORTS_BOTH_SIDES,
    Case,
    Given,
    HandedIn,
    Level,
    left_out,
    required,
    stands,
    still_to_do,
    ticks_of,
)
from diagnostics.proof_state import handed_in, state_of
from diagnostics.proof_words import lack_words
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.photos.models import Photo
from shop.photos.services import photo_take_in
from shop.records.errors import Refused
from tests.diagnostics.conftest import Read
from tests.proving import proved

pytestmark = pytest.mark.one_database

LB = HandedIn("laptop_barrel")


def starts(*results: str) -> list[Given]:
    return [Given("cold_start", result, count=1) for result in results]


# --- the items: domain brief, section 8 ---


def test_each_start_is_one_tap_and_one_that_fails_begins_anew() -> None:
    def lacking(*results: str) -> list[str]:
        found = still_to_do(starts(*results), LB, Level.FULL)
        return [lack_words(one) for one in found if one.item == "cold_start"]

    assert lacking(*["passed"] * 4) == ["1 cold start"]
    assert lacking(*["passed"] * 5) == []
    assert lacking(*["passed"] * 4, "failed") == ["cold start from no power failed"]
    after = [*["passed"] * 4, "failed", *["passed"] * 3]
    assert lacking(*after) == ["2 cold starts"]
    assert stands(starts(*after))["cold_start"].failures == 1
    assert lacking(*["passed"] * 4, "failed", "taken_back") == ["1 cold start"]


def test_a_bare_board_is_proved_as_a_bare_board() -> None:
    bare = HandedIn("laptop_barrel", is_bare_board=True, has_pack=False)
    assert set(left_out(bare)) == {"charge", "battery_run"}
    assert not {"charge", "battery_run"} & set(required(bare))
    assert not {"keyboard", "camera"} & set(ticks_of("functions", bare))
    assert "picture" in ticks_of("functions", bare)
    with_pack = HandedIn("laptop_barrel", is_bare_board=True, has_pack=True)
    assert "battery_run" in required(with_pack)
    swollen = HandedIn("laptop_barrel", is_pack_unsafe=True)
    assert left_out(swollen)["battery_run"] == "pack_unsafe"


def test_by_usb_c_both_ports_charge_from_both_cable_sides() -> None:
    usb_c = HandedIn("laptop_usbc")
    assert ticks_of("charge", usb_c) == BOTH_PORTS_BOTH_SIDES
    given = [Given("charge", "passed", part=one) for one in BOTH_PORTS_BOTH_SIDES[:3]]
    found = {one.item: one for one in still_to_do(given, usb_c, Level.FULL)}
    assert found["charge"].ticks == ("port_2_down",)
    given.append(Given("charge", "not_fitted", part="port_2_down"))
    assert "charge" not in {one.item for one in still_to_do(given, usb_c, Level.FULL)}


def test_the_full_proof_is_suggested_by_the_case_and_the_soak_with_it() -> None:
    assert Case().suggested is Level.SHORT
    for case in (
        Case(is_liquid=True),
        Case(is_intermittent=True),
        Case(is_warranty=True),
        Case(is_second_fault=True),
    ):
        assert case.suggested is Level.FULL
        is_soaked = case.is_liquid or case.is_intermittent
        assert ("soak" in required(LB, Level.FULL, case)) is is_soaked
    assert "soak" not in required(LB, Level.SHORT, Case(is_liquid=True))


# --- at the bench ---


@pytest.fixture
def repaired(read: Read, board: Board, job: Ticket, ines: Person) -> Ticket:
    """sb.33 was shorted, and reads well since; main was read on both sides."""
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01")
    read("k04/leads", "0.2")
    read("k06/main", "52k")
    read("k11/sb.33", "0.7")
    bench.intervention_do(
        board=board, ticket=job, by=ines, kind="replaced", part_id="p.csb", place="C7"
    )
    return job


def post(client: Client, ticket: Ticket, name: str, *args: int, **fields: str) -> int:
    url = reverse(f"diagnostics:{name}", args=[ticket.number, *args])
    return client.post(url, fields | {"idempotency_key": str(uuid4())}).status_code


def page(client: Client, ticket: Ticket) -> str:
    response = client.get(reverse("diagnostics:proof", args=[ticket.number]))
    return " ".join(response.content.decode().split())


def test_what_was_wrong_is_listed_until_it_reads_well_the_same_way(
    at_bench: Client, repaired: Ticket, board: Board, read: Read, ines: Person
) -> None:
    def again() -> list[str]:
        known = queries.known_of(board)
        return [one.before.point.id for one in proof_again.to_read(known, repaired)]

    assert again() == ["k06/main", "k11/sb.33"]  # main is read on both sides
    read("k06/main", "51k")
    assert again() == ["k11/sb.33"]
    html = page(at_bench, repaired)
    assert "check=k11&amp;point=k11%2Fsb.33" in html
    assert "sb.33 resistance again" in html
    read("k11/sb.33", "410", fitted=["modules"])
    assert again() == ["k11/sb.33"]
    assert "read since, but otherwise" in page(at_bench, repaired)
    read("k11/sb.33", "410")
    assert again() == []
    row = next(r for r in evidence.of_ticket(repaired) if r["point"] == "k11/sb.33")
    assert (row["before"]["verdict"], row["after"]["verdict"]) == ("bad", "good")


def test_work_done_takes_the_proof_back(
    repaired: Ticket, board: Board, ines: Person
) -> None:
    for result in ("passed", "passed"):
        bench.proof_item_record(
            ticket=repaired, by=ines, item="cold_start", result=result, count=1
        )
    assert state_of(repaired).stands["cold_start"].count == 2
    bench.intervention_do(board=board, ticket=repaired, by=ines, kind="reflowed")
    assert "cold_start" not in state_of(repaired).stands


def test_a_run_goes_by_the_servers_clock_and_is_answered_when_it_is_over(
    at_bench: Client, repaired: Ticket, ines: Person, sami: Person
) -> None:
    assert post(at_bench, repaired, "proof_run_start", item="load_run") == 302
    run = MachineRun.objects.get()
    assert run.planned_minutes == 10
    assert "10 minutes left" in page(at_bench, repaired)
    bench_list = at_bench.get(reverse("diagnostics:bench")).content.decode()
    ready = timezone.localtime(run.started_at + timedelta(minutes=10))
    assert f"{ready:%H:%M}" in bench_list
    assert post(at_bench, repaired, "proof_run_answer", run.pk, result="passed") == 422
    assert not repaired.proof_items.exists()
    bench.proof_run_answer(
        run=run,
        by=sami,
        result="passed",
        at=run.started_at + timedelta(minutes=11),
    )
    row = repaired.proof_items.get()
    assert (row.item, row.minutes, row.by) == ("load_run", 10, sami)
    assert "load_run" not in {one.item for one in state_of(repaired).unproved}
    assert not repaired.time_entries.exists()


def test_functions_are_ticked_all_ok_except(at_bench: Client, repaired: Ticket) -> None:
    ticks = {f"tick-{one}": "passed" for one in ("ports", "keyboard", "sound")}
    ticks |= {f"tick-{one}": "passed" for one in ("network", "picture")}
    kept = post(
        at_bench,
        repaired,
        "proof_ticks",
        item="functions",
        words="grey picture",
        **{**ticks, "tick-camera": "not_fitted", "tick-picture": "failed"},
    )
    assert kept == 302
    lacking = {one.item: one for one in state_of(repaired).unproved}
    assert lacking["functions"].ticks == ("picture",)
    note = repaired.proof_items.get(part="picture").note
    assert note is not None
    assert note.text == "grey picture"


def test_less_than_is_suggested_is_the_owners_to_choose(
    repaired: Ticket, ines: Person, marit: Person
) -> None:
    Ticket.objects.filter(pk=repaired.pk).update(liquid="unsure")
    repaired.refresh_from_db()
    assert state_of(repaired).level is Level.FULL
    with pytest.raises(Refused, match="owner"):
        bench.proof_level_choose(ticket=repaired, by=ines, level="short")
    bench.proof_level_choose(ticket=repaired, by=marit, level="short")
    assert state_of(repaired).level is Level.SHORT


def test_it_is_called_fixed_only_when_nothing_is_missing(
    at_bench: Client, repaired: Ticket, read: Read, board: Board, ines: Person
) -> None:
    lacking = proof_closing.missing(repaired)
    assert lacking is not None
    assert len(lacking.said()) == 4 - (not repaired.things.exists())
    assert "can’t be called fixed yet" in page(at_bench, repaired)
    assert post(at_bench, repaired, "proof_end", kind="fixed") == 422
    proved(repaired, ines)
    with pytest.raises(Refused, match=r"Not in band since: sb\.33 resistance"):
        intake.outcome_record(ticket=repaired, by=ines, kind="fixed")
    assert not hasattr(Ticket.objects.get(pk=repaired.pk), "outcome")
    read("k11/sb.33", "410")
    assert post(at_bench, repaired, "proof_end", kind="fixed") == 302
    assert Ticket.objects.get(pk=repaired.pk).outcome.kind == "fixed"


def test_other_ends_ask_for_no_proof(repaired: Ticket, ines: Person) -> None:
    intake.outcome_record(ticket=repaired, by=ines, kind="no_fault_found")
    repaired = Ticket.objects.get(pk=repaired.pk)
    said = proof_closing.ended(repaired)
    assert said.startswith("No fault found in the 2 points measured; not looked at: ")
    assert said in papers.proof_sheet_html(repaired)


def test_what_came_in_decides_what_is_proved(job: Ticket) -> None:
    assert handed_in(job).has_pack
    Ticket.objects.filter(pk=job.pk).update(intake_kind="board_only")
    assert handed_in(Ticket.objects.get(pk=job.pk)).is_bare_board


# --- pictures on the sheet ---


def photo(ticket: Ticket, by: Person, side: str, colour: str) -> Photo:
    out = io.BytesIO()
    Image.new("RGB", (1600, 1200), colour).save(out, "JPEG")
    return photo_take_in(
        shop=ticket.shop, by=by, sent=out.getvalue(), key=side, side=side, ticket=ticket
    )


def test_the_sheet_shows_chosen_pictures_of_the_board_alone(
    repaired: Ticket, ines: Person
) -> None:
    came = photo(repaired, ines, "intake", "red")
    before = photo(repaired, ines, "before", "green")
    with pytest.raises(Refused, match="Only photos of the board"):
        bench.proof_photos_choose(ticket=repaired, by=ines, photo_ids=[came.pk])
    bench.proof_photos_choose(ticket=repaired, by=ines, photo_ids=[before.pk])
    first = papers.proof_sheet(repaired)
    assert papers.proof_sheet(repaired) == first
    reader = PdfReader(io.BytesIO(first))
    pictures = {one.name for sheet in reader.pages for one in sheet.images}
    assert len(pictures) == 1
    assert "/MarkInfo" in reader.root_object  # tagged
    bench.proof_photos_choose(ticket=repaired, by=ines, photo_ids=[])
    assert "<img" not in papers.proof_sheet_html(repaired)
    assert ProofItem.objects.count() == 0
