"""The pages with many rows, as the whole year fills them."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connection
from playwright.sync_api import Page

from diagnostics.models import BoardModel
from shop.intake.models import Ticket
from shop.people.models import Shop
from tests import told_year
from tests.browser.conftest import (
    DESKTOP,
    TABLET,
    UPRIGHT,
    Visit,
    faults_of,
    layout_faults_of,
)

pytestmark = pytest.mark.one_database


@pytest.fixture
def told_shop(transactional_db: None, made_folder: Path) -> Shop:
    """The whole year; the suspects are looked at in the short story's tests."""
    file, _moment = told_year.told(made_folder)
    connection.ensure_connection()
    with closing(sqlite3.connect(file)) as told:
        told.backup(connection.connection)
    return Shop.objects.get()


def pages() -> list[tuple[str, str, str]]:
    heron = BoardModel.objects.get(number="HN14-MB")
    decide = Ticket.objects.filter(intake_kind="warranty").latest("id")
    group = Ticket.objects.filter(came_with__isnull=False).latest("id")
    board = decide.ticket_boards.get().board
    return [
        ("tomas", "day", "/counter/"),
        ("tomas", "find", "/find/?q=a"),
        ("tomas", "group", f"/tickets/{group.number}/together/"),
        ("tomas", "warranty", f"/tickets/{decide.number}/"),
        ("ines", "bench-list", "/bench/"),
        ("ines", "lore", f"/bench/lore/{heron.pk}/"),
        ("ines", "advice", "/bench/advice/"),
        ("ines", "bench-warranty", f"/bench/{decide.number}/{board.pk}/"),
        ("marit", "office", "/office/"),
    ]


def test_many_rows_fit_their_pages(
    visit: Visit, picture: Callable[[Page, str], None]
) -> None:
    faults: list[str] = []
    for size in (TABLET, UPRIGHT, DESKTOP):
        open_pages: dict[str, Page] = {}
        for person, name, url in pages():
            if person not in open_pages:
                open_pages[person] = visit(person, size=size, dark=size == UPRIGHT)
            page = open_pages[person]
            answer = page.goto(url)
            assert answer is not None
            assert answer.status == 200, url
            found = layout_faults_of(page) + faults_of(page)
            faults += [f"{name} {size['width']}: {one}" for one in found]
            picture(page, f"year-{name}-{size['width']}")
    assert faults == []
