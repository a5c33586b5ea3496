"""The job slip: its words, and one PDF."""

import io
import re
from datetime import UTC, datetime, timedelta

import pytest
from django.utils import translation
from pypdf import PdfReader

from shop import qr
from shop.intake import papers
from shop.intake.models import Ticket
from shop.intake.services import ThingDraft
from shop.money import Money
from shop.people.models import Person
from tests.factories import CustomerFactory, DeviceFactory, TicketFactory

pytestmark = pytest.mark.one_database

AT = datetime(2026, 10, 14, 9, 10, tzinfo=UTC)


@pytest.fixture
def slip(tomas: Person) -> Ticket:
    return TicketFactory.create(
        by=tomas,
        at=AT,
        told="Tea went over it on Friday.",
        liquid="yes",
        dropped="no",
        opened_before="unsure",
        things=[ThingDraft("adapter"), ThingDraft("pack")],
        consents={"open_files": "no"},
        pre_approved=Money.of("120.00", "EUR"),
        promise=AT + timedelta(days=1),
    )


def words_of(html: str) -> str:
    body = re.sub(r"<svg.*?</svg>", " ", html, flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", body).split())


def text_of(pdf: bytes) -> tuple[int, str]:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return len(pages), " ".join(" ".join(p.extract_text().split()) for p in pages)


def test_it_says_what_was_handed_over_told_and_agreed(slip: Ticket) -> None:
    words = words_of(papers.job_slip_html(slip))
    for said in (
        f"Job slip {slip.number}",
        "Taken in 14 October 2026, 09:10, by Tomas Reyl",
        "Ada Pell , phone first",
        "adapter , battery pack",
        "Not with it mains lead, bag, drive",
        "“Tea went over it on Friday.”",
        "Liquid: yes. Dropped: no. Hot, smelling or swollen: not recorded.",
        "Opened before: unsure.",
        "35.00 EUR , kept, and billed as a line",
        "we go ahead up to 120.00 EUR without asking",
        "by Thursday 15 October, 09:10",
        "look into files: no; copy the data: not recorded",
        "erase the drive: not recorded",
        "a second fault can show weeks later",
        "Scan at the counter",
        "for Hollin Lane Board Repair",
        f"{slip.number}-3",
    ):
        assert said in words, said


def test_what_nobody_asked_is_said_and_no_caution_is_made_up(ticket: Ticket) -> None:
    words = words_of(papers.job_slip_html(ticket))
    assert "Liquid: not recorded." in words
    assert "we ask before any repair" in words
    assert "no day was promised" in words
    assert "weeks later" not in words
    assert "licensed route" not in words


def test_a_swollen_pack_and_data_first_are_printed(tomas: Person) -> None:
    ticket = TicketFactory.create(by=tomas, hot_or_swollen="yes", goal="data_only")
    words = words_of(papers.job_slip_html(ticket))
    assert "kept apart and not charged" in words
    assert words.count("DATA FIRST") == 2


def test_the_device_is_named_once_wherever_it_was_ticked(tomas: Person) -> None:
    drafts = [ThingDraft("adapter"), ThingDraft("machine")]
    ticket = TicketFactory.create(by=tomas, things=drafts)
    assert "With it adapter Not with it" in words_of(papers.job_slip_html(ticket))


def test_no_phone_no_address_no_note_of_ours_is_on_it(slip: Ticket) -> None:
    words = words_of(papers.job_slip_html(slip))
    assert "0142" not in words
    assert "Weir Street" not in words
    assert "assword" not in words


def test_it_prints_on_one_page_with_searchable_text(slip: Ticket) -> None:
    pages, text = text_of(papers.job_slip(slip))
    assert pages == 1
    assert "Tea went over it on Friday." in text
    assert f"{slip.number}-2" in text


def test_it_prints_the_same_bytes_again(slip: Ticket) -> None:
    assert papers.job_slip(slip) == papers.job_slip(slip)


@pytest.mark.parametrize("name", ["ليلى بنت عمر", "שרה לוי", "Ада 🔧 Пелл"])
def test_a_name_of_any_script_is_printed(tomas: Person, name: str) -> None:
    shop = tomas.memberships.get().shop
    customer = CustomerFactory.create(shop=shop, name=name)
    device = DeviceFactory.create(customer=customer)
    slip = papers.job_slip(TicketFactory.create(by=tomas, device=device))
    assert text_of(slip)[0] == 1


@pytest.mark.parametrize(
    "told",
    [
        "file:///etc/passwd http://192.0.2.7/x",
        '<link rel="stylesheet" href="http://192.0.2.7/x.css"><img src="file:///etc/hosts">',
    ],
)
def test_addresses_in_the_customers_words_are_only_printed(
    tomas: Person, told: str
) -> None:
    """The fetcher would raise for both; as text they never reach it."""
    slip = TicketFactory.create(by=tomas, told=told)
    assert "192.0.2.7" in text_of(papers.job_slip(slip))[1]


def test_the_code_holds_the_number_with_four_clear_modules() -> None:
    """ISO/IEC 18004: version 1 is 21 modules, the quiet zone four on each side."""
    drawing = qr.svg("24176")
    assert 'viewBox="0 0 29 29"' in drawing


def test_the_page_serves_the_pdf(client_of: object, slip: Ticket) -> None:
    answer = client_of("ines").get(f"/tickets/{slip.number}/job-slip.pdf")  # type: ignore[operator]
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")


def test_the_slip_speaks_the_customers_language(tomas: Person) -> None:
    customer = CustomerFactory.create(shop=tomas.memberships.get().shop, language="de")
    ticket = TicketFactory.create(by=tomas, customer=customer)
    with translation.override("en"):
        html = papers.job_slip_html(ticket)
        assert translation.get_language() == "en"
    assert '<html lang="de">' in html
