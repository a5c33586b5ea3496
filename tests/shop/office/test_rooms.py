"""The pages of figures: their sentence, their time, their pictures and files."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client

from shop.office import rooms
from shop.office.asking import question_of
from shop.people.models import Shop
from tests.shop.office.sample_sections import DRAWINGS, sections

ClientOf = Callable[[str], Client]
AT = "/office/money/"
NOVEMBER = datetime(2026, 11, 26, 19, 0, tzinfo=UTC)


@pytest.fixture
def owner(
    client_of: ClientOf, hollin_lane: Shop, monkeypatch: pytest.MonkeyPatch
) -> Client:
    """Looks at the samples in place of the shop's own figures."""
    monkeypatch.setitem(rooms.ROOMS, "money", sections)
    return client_of("marit")


def test_the_page_opens_with_its_first_finding(owner: Client) -> None:
    page = owner.get(AT).content.decode()
    head = page.partition("<h1")[2].partition("</h1>")[0]
    assert "A ticket took 9.0 days" in head
    assert page.count("<h1") == 1


def test_each_picture_stands_in_both_widths_with_its_table(owner: Client) -> None:
    page = owner.get(AT).content.decode()
    for size in ("wide", "narrow"):
        assert page.count(f'class="figure figure-{size}"') == len(DRAWINGS)
    assert page.count('role="img"') == 2 * len(DRAWINGS)
    assert page.count('<table class="figure-table"') == len(DRAWINGS)
    assert "style=" not in page


def test_what_is_too_few_is_said_and_never_a_zero(owner: Client) -> None:
    row = owner.get(AT).content.decode().partition("=1+1")[2].partition("</tr>")[0]
    assert row.count("too few yet") == 2
    assert "−8.00" in row


@pytest.mark.parametrize("months", [3, 6, 12, 24])
def test_a_time_is_chosen_by_the_address(owner: Client, months: int) -> None:
    page = owner.get(f"{AT}?months={months}").content.decode()
    assert f'href="?months={months}" aria-current="page"' in page
    assert f"turns.csv?months={months}" in page


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("months=5", "Choose 3, 6, 12 or 24 months"),
        ("months=x", "Choose 3, 6, 12 or 24 months"),
        ("since=2020-05-02&until=2020-05-01", "The last day is before the first."),
        ("since=2020-05-02&until=2999-05-01", "The last day has not come yet."),
        ("since=2020-02-30&until=2020-03-01", "Enter a valid date."),
        ("since=2020-02-03", "This field is required."),
    ],
)
def test_a_time_that_makes_no_sense_is_told_beside_its_field(
    owner: Client, query: str, said: str
) -> None:
    for path in (AT, f"{AT}turns.csv", f"{AT}turns.ods"):
        page = owner.get(f"{path}?{query}")
        assert page.status_code == 422
        assert said in page.content.decode()


def test_two_days_are_whole_and_end_now(hollin_lane: Shop) -> None:
    asked = question_of(
        {"since": "2026-11-01", "until": "2026-11-26"}, hollin_lane, NOVEMBER
    ).asked
    assert asked is not None
    assert asked.since.isoformat() == "2026-11-01T00:00:00+00:00"
    assert asked.until == asked.now == NOVEMBER


@pytest.mark.parametrize(
    ("months", "since"),
    [("3", "2026-09-01"), ("12", "2025-12-01"), ("24", "2024-12-01")],
)
def test_months_are_whole_and_the_running_one_is_the_last(
    hollin_lane: Shop, months: str, since: str
) -> None:
    asked = question_of({"months": months}, hollin_lane, NOVEMBER).asked
    assert asked is not None
    assert asked.since.astimezone(hollin_lane.zone).date().isoformat() == since


def test_the_files_hold_the_table(owner: Client) -> None:
    told = owner.get(f"{AT}turns.csv?months=3")
    assert told["Content-Type"] == "text/csv; charset=utf-8"
    assert re.search(r'filename="money-turns-[\d-]+\.csv"', told["Content-Disposition"])
    assert told.content.startswith(b"\xef\xbb\xbfboard_model,")
    sheet = owner.get(f"{AT}turns.ods")
    assert sheet.content[:4] == b"PK\x03\x04"
    assert "opendocument.spreadsheet" in sheet["Content-Type"]


@pytest.mark.parametrize(
    "path", ["/office/attic/", f"{AT}attic.csv", "/office/attic/a.ods"]
)
def test_what_there_is_not_is_not_found(owner: Client, path: str) -> None:
    assert owner.get(path).status_code == 404


def test_a_ticket_in_a_table_leads_to_it(owner: Client) -> None:
    assert 'href="/tickets/24178/"' in owner.get(AT).content.decode()


@pytest.mark.parametrize("room", list(rooms.ROOMS))
def test_an_empty_shop_has_every_page(client_of: ClientOf, room: str) -> None:
    """The shop's own figures, where there are none yet."""
    page = client_of("marit").get(f"/office/{room}/")
    assert page.status_code == 200
    assert "nan" not in re.findall(r">([^<]*)<", page.content.decode())


def test_every_page_of_the_office_leads_to_the_others(client_of: ClientOf) -> None:
    owner: Any = client_of("marit")
    for here in ("/office/", "/office/money/", "/office/weekly/", "/office/trail/"):
        page = owner.get(here).content.decode()
        nav = page.partition('aria-label="Pages of the office"')[2].partition("</nav>")[
            0
        ]
        assert nav.count("<a ") == 7
        assert f'href="{here}" aria-current="page"' in nav
