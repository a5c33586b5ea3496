"""Who holds which boards, beside a plain recount of everything that was told."""

from collections.abc import Iterable
from datetime import datetime, timedelta

import pytest
from django.db import connection
from django.db.transaction import atomic, set_rollback
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnostics import holding
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.cache import cache
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.diagnostics.conftest import MORNING

pytestmark = pytest.mark.django_db

BOARDS = (11, 12, 13)
KINDS = (Kind.BOARD_TAKEN, Kind.BOARD_PUT_DOWN)
# Whose, which board, what, and how many minutes ago by the clock of whoever sends it.
MOVES = st.lists(
    st.tuples(
        st.sampled_from(("ines", "sami")),
        st.sampled_from(BOARDS),
        st.sampled_from(KINDS),
        st.integers(0, 6),
    ),
    max_size=14,
)


def recounted(person: Person, at: datetime | None) -> list[tuple[int, int | None]]:
    told = Event.objects.filter(kind__in=KINDS).order_by("at", "pk")
    newest: dict[int, Event] = {}
    for event in told:
        if event.board_id and (at is None or event.at <= at):
            newest[event.board_id] = event
    held = sorted(newest.values(), key=lambda event: (event.at, event.pk))
    return [
        (event.board_id or 0, event.ticket_id)
        for event in held
        if event.kind == Kind.BOARD_TAKEN and event.person_id == person.pk
    ]


def tell(shop: Shop, person: Person, board: int, kind: Kind, minutes: int) -> None:
    records.event_record(
        kind,
        shop_id=shop.pk,
        by_id=person.pk,
        person_id=person.pk,
        board_id=board,
        ticket_id=board + 100,
        at=MORNING + timedelta(minutes=minutes),
    )


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(moves=MOVES, tail=st.integers(0, 3), asked=st.integers(0, 7))
def test_what_was_kept_and_what_came_since_give_the_same_as_all_of_it(
    hollin_lane: Shop,
    ines: Person,
    sami: Person,
    monkeypatch: pytest.MonkeyPatch,
    moves: Iterable[tuple[str, int, Kind, int]],
    tail: int,
    asked: int,
) -> None:
    """After each move, which may have happened before others that were told earlier."""
    monkeypatch.setattr(holding, "TAIL", tail)
    monkeypatch.setattr(holding, "AT_ONCE", 2)
    monkeypatch.setattr("diagnostics.holding.transaction.on_commit", lambda act: act())
    cache.clear()
    at = MORNING + timedelta(minutes=asked)
    people = {"ines": ines, "sami": sami}
    with atomic():
        for who, board, kind, minutes in moves:
            tell(hollin_lane, people[who], board, kind, minutes)
            for person in people.values():
                assert holding.boards_in_hand(person) == recounted(person, None)
                assert holding.boards_in_hand(person, at) == recounted(person, at)
        set_rollback(True)


def test_what_lies_back_is_not_looked_through_again(
    hollin_lane: Shop, ines: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("diagnostics.holding.transaction.on_commit", lambda act: act())
    tell(hollin_lane, ines, 11, Kind.BOARD_TAKEN, 0)
    assert holding.boards_in_hand(ines) == [(11, 111)]
    with CaptureQueriesContext(connection) as asked:
        assert holding.boards_in_hand(ines) == [(11, 111)]
    assert not [one for one in asked if "EXISTS" in one["sql"]]
    assert len(asked) == 3


def test_what_a_transaction_took_back_is_held_still(
    hollin_lane: Shop, ines: Person
) -> None:
    """Kept at the commit alone: a putting down that was undone leaves it in hand."""
    tell(hollin_lane, ines, 11, Kind.BOARD_TAKEN, 0)
    cache.clear()
    assert holding.boards_in_hand(ines) == [(11, 111)]
    assert cache.get(f"diagnostics-in-hand-{ines.pk}") is None


def test_a_worker_has_it_before_it_serves(
    hollin_lane: Shop, ines: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("diagnostics.holding.transaction.on_commit", lambda act: act())
    tell(hollin_lane, ines, 11, Kind.BOARD_TAKEN, 0)
    cache.clear()
    holding.make_ready()
    kept = cache.get(f"diagnostics-in-hand-{ines.pk}")
    assert kept.boards == frozenset({11})
