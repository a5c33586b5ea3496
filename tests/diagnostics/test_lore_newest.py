"""Lore counts the newest boards of a model, as of a moment, and so many at most."""

import random
from datetime import datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics import lore, lore_list, lore_newest, lore_tickets
from diagnostics.models import Board, BoardModel, Finding, Origin, TicketBoard
from shop.intake.models import Handover, Outcome, Ticket
from shop.people.models import Person, Shop
from tests.diagnostics.conftest import MORNING
from tests.factories import TicketFactory

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
LATER = MORNING + 300 * DAY


def repaired(
    model: BoardModel, by: Person, at: datetime, *, is_proven: bool = True
) -> Board:
    board = Board.objects.create(shop=model.shop, board_model=model)
    Finding.objects.create(
        board=board, by=by, at=at, is_proven=is_proven, cause=Finding.Cause.PART,
        part_id="p.cmain", mode_id="short", epoch=0,
    )  # fmt: skip
    return board


def counted(model: BoardModel, at: datetime = LATER) -> set[int]:
    return set(lore.boards_counted([model.pk], at).values_list("pk", flat=True))


def models(shop: Shop, many: int) -> list[BoardModel]:
    return [
        BoardModel.objects.create(shop=shop, number=f"N-{n}", family="laptop_barrel")
        for n in range(many)
    ]


@pytest.mark.parametrize("most", [1, 3, 50])
def test_it_is_what_going_through_all_boards_finds(
    most: int, hollin_lane: Shop, ines: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """References always; of the others the newest with a proven finding by then."""
    monkeypatch.setattr(lore_newest, "MOST", most)
    draw, of = random.Random(most), models(hollin_lane, 3)
    for n in range(40):
        model, day = draw.choice(of[:2]), draw.randrange(40)
        if draw.random() < 0.15:
            Board.objects.create(
                shop=hollin_lane, board_model=model,
                origin=draw.choice([Origin.DONOR, Origin.KNOWN_GOOD]),
            )  # fmt: skip
        else:
            repaired(model, ines, MORNING + day * DAY, is_proven=bool(n % 3))
    for at in (MORNING + 20 * DAY, LATER):
        found = lore.boards_counted([one.pk for one in of], at)
        assert set(found.values_list("pk", flat=True)) == by_hand(of, at, most)


def by_hand(of: list[BoardModel], at: datetime, most: int) -> set[int]:
    keys = set()
    for model in of:
        boards = list(Board.objects.filter(board_model=model).order_by("-pk"))
        proven = [
            one.pk
            for one in boards
            if one.origin == "customer"
            and any(f.is_proven and f.at <= at for f in one.findings.all())
        ]
        keys |= {one.pk for one in boards if one.origin != "customer"}
        keys |= set(proven[:most])
    return keys


def test_what_came_later_takes_no_boards_place_in_what_was(
    heron: BoardModel, ines: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A proof sheet is reckoned as of its stamp."""
    monkeypatch.setattr(lore_newest, "MOST", 1)
    first = repaired(heron, ines, MORNING)
    second = repaired(heron, ines, MORNING + 2 * DAY)
    assert counted(heron, MORNING + DAY) == {first.pk}
    assert counted(heron) == {second.pk}


def test_no_list_of_boards_goes_into_a_statement(
    heron: BoardModel, ines: Person
) -> None:
    """SQLite takes only so many variables."""
    for n in range(30):
        repaired(heron, ines, MORNING + n * DAY)
    with CaptureQueriesContext(connection) as seen:
        lore.marks([heron])
    assert len(seen) == 3
    assert max(len(one["sql"]) for one in seen) < 1500


# --- the pages ---


def came(
    model: BoardModel, ticket: Ticket, ended: str = "", *, undone: bool = False
) -> None:
    board = Board.objects.create(shop=model.shop, board_model=model)
    TicketBoard.objects.create(ticket=ticket, board=board, joined_at=ticket.opened_at)
    if ended:
        Outcome.objects.create(ticket=ticket, kind=ended)
    if ended or undone:
        Handover.objects.create(ticket=ticket, given_to="Ada Pell", is_undone=undone)


@pytest.fixture
def many_came(hollin_lane: Shop, tomas: Person) -> list[BoardModel]:
    of = models(hollin_lane, 4)
    for n in range(12):
        ticket = TicketFactory.create(by=tomas, at=MORNING + n * DAY)
        came(of[n % 3], ticket, ["fixed", "", "declined"][n % 4 % 3])
    undone = TicketFactory.create(by=tomas, at=MORNING)
    came(of[0], undone, undone=True)
    Board.objects.create(shop=hollin_lane, board_model=of[1], origin=Origin.DONOR)
    return of


def test_the_list_counts_every_board_and_the_last_seen_is_first(
    many_came: list[BoardModel], hollin_lane: Shop
) -> None:
    found = lore_list.models_of(hollin_lane, "")
    told = {one.model.number: one.counts[:3] for one in found["models"]}
    assert told == {
        "N-2": (4, 2, 0),
        "N-1": (4, 2, 1),
        "N-0": (4, 2, 0),
        "N-3": (0, 0, 0),
    }
    assert [one.model.number for one in found["models"]] == ["N-2", "N-1", "N-0", "N-3"]
    assert (found["most"], found["is_cut"]) == (None, False)
    assert len(lore_list.models_of(hollin_lane, "n-1")["models"]) == 1


def test_of_many_models_the_last_seen_are_listed(
    many_came: list[BoardModel], hollin_lane: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lore_list, "MOST", 2)
    monkeypatch.setattr(lore_newest, "MOST", 1)
    found = lore_list.models_of(hollin_lane, "")
    shown = {one.model.number for one in found["models"]}
    assert shown == {"N-0", "N-2"}, "one was joined last by a row, one by its day"
    assert found["is_cut"]
    assert found["most"] == 1000
    assert {one.counts.seen for one in found["models"]} <= {0, 1}


@pytest.mark.parametrize("tickets", [3, 12])
def test_the_list_asks_as_often_however_many_boards(
    tickets: int, hollin_lane: Shop, tomas: Person
) -> None:
    (model,) = models(hollin_lane, 1)
    for n in range(tickets):
        came(model, TicketFactory.create(by=tomas, at=MORNING + n * DAY))
    with CaptureQueriesContext(connection) as seen:
        lore_list.models_of(hollin_lane, "")
    assert len(seen) == 5


def test_a_models_page_is_of_its_newest_boards(
    hollin_lane: Shop, tomas: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    (model,) = models(hollin_lane, 1)
    tickets = [TicketFactory.create(by=tomas, at=MORNING + n * DAY) for n in range(5)]
    for ticket in tickets:
        came(model, ticket, "fixed")
    whole = lore_tickets.seen_of(model)
    assert (whole.boards, whole.fixed, whole.is_cut) == (5, 5, False)
    monkeypatch.setattr(lore_newest, "MOST", 2)
    seen = lore_tickets.seen_of(model)
    assert (seen.boards, seen.is_cut) == (2, True)
    assert list(seen.tickets) == [tickets[4].pk, tickets[3].pk]
    assert seen.since == tickets[3].opened_at
