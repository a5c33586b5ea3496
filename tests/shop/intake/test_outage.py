"""The outage pack: numbers reserved, filled in by pen, typed in later or void."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.utils import timezone
from PIL import Image

from shop.intake import event_words, numbers, outage, outage_papers, papers
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.outage_models import OutagePack, PaperSlip
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.factories import TicketFactory
from tests.shop.intake.papers_seen import codes_of, printed, sizes_mm

Post = Callable[..., Any]
NEW = "/counter/new/"
DPI = 203


@pytest.fixture
def desk(client_of: Callable[[str], Client]) -> Client:
    return client_of("tomas")


@pytest.fixture
def pack(hollin_lane: Shop, tomas: Person) -> OutagePack:
    """Printed two days ago."""
    at = timezone.now() - timedelta(days=2)
    return intake.pack_print(shop=hollin_lane, by=tomas, at=at)


@pytest.fixture
def slip(pack: OutagePack) -> PaperSlip:
    return pack.slips.earliest("id")


def ago(**span: int) -> datetime:
    moment = timezone.now() - timedelta(**span)
    return moment.replace(second=0, microsecond=0)


def local(shop: Shop, moment: datetime) -> str:
    return moment.astimezone(shop.zone).strftime("%Y-%m-%dT%H:%M")


def on_paper(slip: PaperSlip, by: Person, taken: datetime) -> dict[str, object]:
    return {
        "paper": slip.number,
        "taken_at": local(slip.shop, taken),
        "taken_by": by.pk,
    }


def test_its_numbers_are_given_to_no_other_ticket(
    pack: OutagePack, tomas: Person
) -> None:
    reserved = [slip.number for slip in pack.slips.all()]
    assert len(set(reserved)) == 20
    assert all(numbers.is_valid(number) for number in reserved)
    assert TicketFactory.create(by=tomas).number not in reserved
    with pytest.raises(IntegrityError), transaction.atomic():
        PaperSlip.objects.create(
            pack=pack, shop=pack.shop, serial=1, number=reserved[0]
        )


def lines_mm(page: Image.Image) -> Iterator[float]:
    """Where a line of 60 mm or more lies on a page, from above."""
    long = int(60 * DPI / 25.4)
    step, grey = 4, page.convert("L")
    before = False
    for y in range(grey.height):
        row = grey.crop((0, y, grey.width, y + 1)).tobytes()[::step]
        is_line = bytes(long // step) in row
        if is_line and not before:
            yield y * 25.4 / DPI
        before = is_line


def test_a_slip_with_its_codes_is_one_page_and_has_room_for_a_pen(
    pack: OutagePack, slip: PaperSlip
) -> None:
    slips = pack.slips.order_by("id")
    codes = {"void_reason": "lost", "voided_at": timezone.now()}
    slips.filter(pk__gt=slips[1].pk).update(**codes)
    pdf = outage_papers.pack_pdf(pack)
    sizes = sizes_mm(pdf)
    assert all(abs(w - 210) < 1 and abs(h - 297) < 1 for w, h in sizes)
    assert len(sizes) == 1 + 2 + outage_papers.BENCH_SHEETS
    page = printed(pdf, DPI, page=1)
    number = slip.number
    tags = [f"CRT{number}X{tag}" for tag in range(1, 8)]
    read = sorted(code.text for code in codes_of(page, DPI))
    assert read == sorted([f"CRN{number}"] * 2 + tags)
    top = page.crop((0, 0, page.width, int(page.height * 0.3)))
    places = list(lines_mm(top))
    assert len(places) > 5
    assert all(b - a > 8 for a, b in pairwise(places))
    bench = list(lines_mm(printed(pdf, DPI, page=3)))
    assert sum(8 < b - a < 9 for a, b in pairwise(bench)) >= 22


def test_the_slip_asks_and_warns_as_the_intake_does(pack: OutagePack) -> None:
    html = outage_papers.pack_html(pack)
    for said in (
        *("35.00 EUR", "Dropped?", "put apart already", "battery pack"),
        *("isolate first", "licensed disposal", "erase the drive?"),
        *("Write no passcode", "less than 0.1 V", "switch hot air"),
    ):
        assert said in html, said


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_on_either_paper_a_slip_is_one_page(pack: OutagePack, size: str) -> None:
    pack.shop.paper_size = size
    room = outage_papers._room(outage_papers._pack(pack))
    assert room == {"A4": "", "Letter": "is-shorter"}[size]


def test_it_is_typed_in_with_its_number_its_time_and_its_tags(
    desk: Client, take_in: Post, slip: PaperSlip, ines: Person, marit: Person
) -> None:
    taken = ago(hours=20)
    page = desk.get(NEW, {"paper": slip.number}).content.decode()
    assert f"Type in slip <b>{slip}</b>" in page
    take_in(desk, things=["drive", "adapter"], **on_paper(slip, marit, taken))
    ticket = Ticket.objects.get()
    assert (ticket.number, ticket.opened_at) == (slip.number, taken)
    tags = {thing.kind: thing.tag for thing in ticket.things.all()}
    assert tags == {"machine": 1, "adapter": 2, "drive": 6}
    event = Event.objects.get(ticket_id=ticket.pk, kind=Kind.TYPED_IN_LATER)
    assert event.codes["taken_in"] == taken.isoformat()
    assert event.person_id == marit.pk
    assert event.by is not None
    assert event.by.username == "tomas"
    assert event.at - taken > timedelta(hours=19)
    assert "Typed in later from paper: taken in" in event_words.happened(event)
    shown = desk.get(ticket.get_absolute_url()).content.decode()
    assert "Typed in later, from paper." in shown
    html = papers.job_slip_html(ticket)
    assert f"by {marit.name}" in html
    assert "On a paper slip; typed in" in html


def test_what_is_finished_later_keeps_to_the_printed_tags(
    desk: Client, take_in: Post, slip: PaperSlip, tomas: Person
) -> None:
    take_in(desk, intake="quick", **on_paper(slip, tomas, ago(hours=1)))
    ticket = Ticket.objects.get()
    things = [intake.ThingDraft("adapter"), intake.ThingDraft("drive")]
    intake.intake_finish(ticket=ticket, by=tomas, answers={}, things=things)
    assert {thing.tag for thing in ticket.things.all()} == {1, 2, 6}


def test_the_same_paper_twice_is_told_and_shown(
    desk: Client, take_in: Post, slip: PaperSlip, tomas: Person
) -> None:
    typed = on_paper(slip, tomas, ago(hours=3))
    take_in(desk, **typed)
    again = take_in(desk, key="2", name="Somebody Else", **typed)
    assert again.status_code == 422
    page = again.content.decode()
    assert "was typed in already" in page
    assert f'href="/tickets/{slip}/"' in page
    assert "Somebody Else" in page
    led = desk.get(NEW, {"paper": slip.number}, follow=True)
    assert led.redirect_chain[-1][0] == f"/tickets/{slip}/"
    assert "was typed in already" in led.content.decode()
    assert Ticket.objects.count() == 1


@pytest.mark.parametrize(
    ("taken", "said"),
    [
        (-timedelta(hours=2), "still to come"),
        (timedelta(days=3), "was printed on"),
        (None, "This field is required"),
    ],
)
def test_a_time_that_can_not_be_is_refused_and_nothing_is_lost(
    desk: Client,
    take_in: Post,
    slip: PaperSlip,
    tomas: Person,
    taken: timedelta | None,
    said: str,
) -> None:
    typed = on_paper(slip, tomas, timezone.now() - (taken or timedelta()))
    if taken is None:
        typed["taken_at"] = ""
    answer = take_in(desk, **typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert said in page
    assert "Ada Pell" in page
    assert not Ticket.objects.exists()
    slip.refresh_from_db()
    assert slip.is_left


def test_the_fee_that_was_signed_for_stays(
    desk: Client, take_in: Post, slip: PaperSlip, tomas: Person, hollin_lane: Shop
) -> None:
    terms = hollin_lane.terms.latest("valid_from")
    terms.pk, terms.valid_from = None, ago(hours=30)
    terms.diagnosis_fee_minor = 9900
    terms.save()
    assert outage.pack_of(slip.pack).is_fee_changed
    assert "35.00 EUR" in desk.get(NEW, {"paper": slip.number}).content.decode()
    take_in(desk, **on_paper(slip, tomas, ago(hours=2)))
    assert Ticket.objects.get().diagnosis_fee_minor == 3500


def test_unused_ones_become_void_for_a_reason_and_may_turn_up(
    desk: Client, send: Post, take_in: Post, pack: OutagePack, tomas: Person
) -> None:
    one, two = pack.slips.order_by("id")[:2]
    at = pack.get_absolute_url()
    ticked = [one.number, two.number]
    assert send(desk, at, slips=ticked).status_code == 422
    assert send(desk, at, key="2", reason="lost").status_code == 422
    send(desk, at, key="3", slips=ticked, reason="lost")
    assert pack.slips.exclude(void_reason="").count() == 2
    page = desk.get(one.get_absolute_url()).content.decode()
    assert "Void: lost" in page
    typed = on_paper(one, tomas, ago(hours=1))
    refused = take_in(desk, key="4", **typed)
    assert refused.status_code == 422
    assert "is void" in refused.content.decode()
    send(desk, f"{one.get_absolute_url()}restore/", key="5")
    take_in(desk, key="6", **typed)
    assert Ticket.objects.get().number == one.number
    said = send(desk, at, key="7", slips=[one.number], reason="lost")
    assert "was typed in meanwhile" in said.content.decode()
    shown = desk.get(at).content.decode()
    assert "18 left" in shown
    kinds = Event.objects.filter(kind__in=["paper_voided", "paper_restored"])
    assert event_words.happened(kinds[0]) == f"Blank slip {one} is void: lost"


def test_a_scan_or_the_number_typed_anywhere_opens_its_intake(
    desk: Client, client_of: Callable[[str], Client], slip: PaperSlip
) -> None:
    opened = f"{NEW}?paper={slip}"
    for address in (
        f"/scan/?code=CRN{slip}",
        f"/scan/?code=CRT{slip}X1",
        f"/find/?q={slip}",
        f"/find/?q=CRT{slip}X2",
    ):
        led = desk.get(address, follow=True)
        assert led.redirect_chain[-1][0] == opened, address
    wrong = f"{slip.number[:-1]}{(int(slip.number[-1]) + 1) % 10}"
    assert slip.get_absolute_url() in desk.get(f"/find/?q={wrong}").content.decode()
    bench = client_of("ines").get(f"/scan/?code=CRN{slip}", follow=True)
    assert "Not typed in yet" in bench.content.decode()


def test_a_draft_of_it_keeps_paper_and_time(
    desk: Client, slip: PaperSlip, tomas: Person, hollin_lane: Shop
) -> None:
    key = "0b8a8e9c-4c2e-4a4e-9d3f-0a1b2c3d4e5f"
    typed = on_paper(slip, tomas, ago(hours=5)) | {"draft": key, "name": "Ada"}
    led = desk.post("/counter/new/draft/", typed | {"intake_to": "quick"})
    assert f"paper={slip}" in led["Location"]
    page = desk.get(NEW, {"draft": key}).content.decode()
    assert f'value="{typed["taken_at"]}"' in page
    assert f'name="paper" value="{slip}"' in page
    assert "Several machines" not in page


def test_a_hundred_blank_slips_are_enough(hollin_lane: Shop, tomas: Person) -> None:
    for _pack in range(5):
        intake.pack_print(shop=hollin_lane, by=tomas)
    with pytest.raises(Refused, match="100 blank slips are left"):
        intake.pack_print(shop=hollin_lane, by=tomas)
