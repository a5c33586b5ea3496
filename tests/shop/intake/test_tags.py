"""Bag tags and shelf labels: exact sizes, codes that scan, flags, nobody's name.

The sizes are the issue's and trust.md D21's: 62 mm roll, number at 20 pt or more,
QR 15 mm or more with the four clear modules of ISO/IEC 18004.
"""

import re

import pytest

from shop.intake import papers, scans, services, tags
from shop.intake.models import Place, Ticket
from shop.intake.services import ThingDraft
from shop.people.models import Person, Shop
from tests.factories import CustomerFactory, DeviceFactory, TicketFactory, handed_over
from tests.shop.intake.papers_seen import (
    PRINTERS_DPI,
    codes_of,
    margins_mm,
    printed,
    sizes_mm,
    type_sizes,
)

pytestmark = pytest.mark.one_database


@pytest.fixture
def flagged(tomas: Person) -> Ticket:
    """Everything that a tag can warn of."""
    shop = tomas.memberships.get().shop
    customer = CustomerFactory.create(shop=shop, name="Ada Pell")
    device = DeviceFactory.create(customer=customer, model="Orrin 14, silver")
    return TicketFactory.create(
        by=tomas,
        device=device,
        returns_to=handed_over(TicketFactory.create(by=tomas, device=device), tomas),
        liquid="unsure",
        goal="data_first",
        intake_kind="warranty",
        things=[ThingDraft("pack"), ThingDraft("other", "three screws in a bag")],
    )


def test_each_tag_is_a_page_as_wide_as_the_roll(flagged: Ticket) -> None:
    sizes = sizes_mm(tags.bag_tags(flagged).body)
    assert len(sizes) == 3
    for width, length in sizes:
        assert width == pytest.approx(62, abs=0.05)
        assert 35 < length < 70


@pytest.mark.parametrize("dpi", PRINTERS_DPI)
def test_a_tag_scans_from_the_printers_own_dots(flagged: Ticket, dpi: int) -> None:
    body = tags.bag_tags(flagged).body
    for page, tag in enumerate((1, 2, 3)):
        picture = printed(body, dpi, page)
        (code,) = codes_of(picture, dpi)
        assert code.text == scans.tag_code(flagged.number, tag)
        assert scans.read(code.text).number == flagged.number
        assert code.side_mm >= 15
        assert code.clear_mm >= 4 * code.side_mm / 21 - 0.4
        assert min(margins_mm(picture, dpi)) >= 2.5


def test_the_number_is_large_and_the_flags_are_words(flagged: Ticket) -> None:
    sizes = type_sizes(tags.bag_tags(flagged).body)
    assert sizes[f"{flagged.number}-1"] >= 20
    for flag in ("WET", "CELL", "DATA FIRST", "WARRANTY"):
        assert sizes[flag] >= 11


@pytest.mark.parametrize("number", ["27", "1234567890128", "123456789012345678"])
def test_a_number_of_any_length_stays_large_and_on_the_tag(
    flagged: Ticket, number: str
) -> None:
    Ticket.objects.filter(pk=flagged.pk).update(number=number)
    body = tags.bag_tags(Ticket.objects.get(pk=flagged.pk), only=2).body
    assert max(type_sizes(body).values()) >= 20
    assert min(margins_mm(printed(body, 203), 203)) >= 2.5
    assert codes_of(printed(body, 203), 203)[0].text == f"CRT{number}X2"


def test_nothing_of_the_customer_is_on_a_tag(flagged: Ticket) -> None:
    html = tags.tag_html(flagged, flagged.things.earliest("tag"))
    words = re.sub(r"<[^>]+>", " ", html)
    assert "Orrin 14, silver" in words
    for secret in ("Ada", "Pell", "0142", "Weir"):
        assert secret not in words


@pytest.mark.parametrize(
    ("asked", "flags"),
    [
        ({}, []),
        ({"liquid": "no", "hot_or_swollen": "no"}, []),
        ({"liquid": "yes"}, ["WET"]),
        ({"hot_or_swollen": "unsure"}, ["CELL"]),
        ({"things": [ThingDraft("pack")]}, ["CELL"]),
        ({"goal": "data_only"}, ["DATA FIRST"]),
    ],
)
def test_flags_come_from_what_was_told_at_intake(
    tomas: Person, asked: dict[str, object], flags: list[str]
) -> None:
    assert tags.flags_of(TicketFactory.create(by=tomas, **asked)) == flags


def test_what_comes_back_says_so(tomas: Person) -> None:
    before = handed_over(TicketFactory.create(by=tomas), tomas)
    again = TicketFactory.create(
        by=tomas, device=before.device, intake_kind="warranty", returns_to=before
    )
    assert tags.flags_of(again) == ["WARRANTY"]


def test_one_tag_alone_is_printed_again_the_same(flagged: Ticket) -> None:
    body = tags.bag_tags(flagged, only=3).body
    assert len(sizes_mm(body)) == 1
    assert body == tags.bag_tags(flagged, only=3).body
    assert codes_of(printed(body, 203), 203)[0].text.endswith("X3")


@pytest.mark.parametrize("dpi", PRINTERS_DPI)
def test_a_shelf_label_scans_and_is_read_from_afar(
    hollin_lane: Shop, marit: Person, dpi: int
) -> None:
    names = "C4, handover shelf left"
    made = services.places_make(shop=hollin_lane, by=marit, names=names, kind="shelf")
    body = tags.shelf_labels(made).body
    assert type_sizes(body)["C4"] >= 40
    for page, place in enumerate(made):
        assert sizes_mm(body)[page][0] == pytest.approx(62, abs=0.05)
        picture = printed(body, dpi, page)
        (code,) = codes_of(picture, dpi)
        assert scans.read(code.text).place_id == place.pk
        assert code.side_mm >= 15
        assert min(margins_mm(picture, dpi)) >= 2.5
    assert Place.objects.count() == 2


@pytest.mark.parametrize(
    ("paper_size", "size"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))]
)
def test_the_job_slip_is_exact_and_its_codes_scan(
    flagged: Ticket, paper_size: str, size: tuple[float, float]
) -> None:
    flagged.shop.paper_size = paper_size
    body = papers.job_slip(flagged)
    assert sizes_mm(body) == [pytest.approx(size, abs=0.05)]
    picture = printed(body, 203)
    codes = codes_of(picture, 203)
    tag_codes = {scans.tag_code(flagged.number, tag) for tag in (1, 2, 3)}
    assert {c.text for c in codes} == tag_codes | {scans.ticket_code(flagged.number)}
    assert min(code.side_mm for code in codes) >= 15
    assert type_sizes(body)[f"{flagged.number}-2"] >= 20
    assert sizes_mm(papers.job_slip(flagged, has_tags=False)) == sizes_mm(body)


@pytest.mark.parametrize("paper_size", ["A4", "Letter"])
def test_the_job_slip_keeps_to_its_margins(flagged: Ticket, paper_size: str) -> None:
    """The dashed line to cut along runs from edge to edge; all else keeps off."""
    flagged.shop.paper_size = paper_size
    body = papers.job_slip(flagged, has_tags=False)
    assert min(margins_mm(printed(body, 203), 203)) >= 12
