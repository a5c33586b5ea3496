"""Laws of the ranking, whatever was read in whatever order."""

import random
from math import fsum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.engine.boards import FAMILY_IDS, Board, board_of, load_family
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.readings_as import (
    KINDS,
    MISSED_CONTACT,
    MISSES,
    chance,
    classes,
    kind_of,
)
from diagnostics.engine.spread import Spread, faults_of
from diagnostics.engine.suspects import Done, Evidence, Seen, rank

BOARDS = {family: board_of(load_family(family)) for family in FAMILY_IDS}
any_family = pytest.mark.parametrize("family", FAMILY_IDS)


def telling(board: Board) -> list[str]:
    return sorted(p.id for p in board.points.values() if kind_of(board, p))


def seen_on(board: Board) -> st.SearchStrategy[Seen]:
    return st.builds(
        Seen,
        st.sampled_from(telling(board)),
        st.sampled_from(["good", "watch", "bad", "unclear"]),
        st.sampled_from(list(Outcome)),
        st.none() | st.floats(-20, 1e5),
        st.integers(0, 2),
        fitted=st.sampled_from([frozenset(), frozenset({"cpu"})]),
    )


def evidence_of(board: Board) -> st.SearchStrategy[Evidence]:
    done = st.builds(Done, st.integers(1, 3), st.sampled_from(["", *board.parts]))
    return st.builds(
        Evidence,
        st.lists(seen_on(board), max_size=12).map(tuple),
        st.lists(done, max_size=2).map(tuple),
    )


@any_family
@settings(max_examples=30, deadline=None)
@given(st.data())
def test_the_shares_add_up_and_nothing_is_certain(
    family: str, data: st.DataObject
) -> None:
    board = BOARDS[family]
    ranking = rank(board, data.draw(evidence_of(board)))
    shares = [one.probability for one in ranking.suspects]
    total = fsum([*shares, ranking.something_else, ranking.no_fault])
    assert total == pytest.approx(1)
    assert min(shares) >= 0
    assert max([*shares, ranking.no_fault]) < 1
    assert shares == sorted(shares, reverse=True)
    assert ranking.something_else >= 0.01


@any_family
@settings(max_examples=15, deadline=None)
@given(st.data(), st.integers())
def test_the_order_of_readings_of_different_points_does_not_matter(
    family: str, data: st.DataObject, seed: int
) -> None:
    board = BOARDS[family]
    readings = st.lists(seen_on(board), max_size=10, unique_by=lambda one: one.point_id)
    seen = data.draw(readings)
    shuffled = random.Random(seed).sample(seen, len(seen))
    one, other = (
        rank(board, Evidence(tuple(seen))),
        rank(board, Evidence(tuple(shuffled))),
    )
    shares = {(s.part_id, s.mode_id): s.probability for s in other.suspects}
    for suspect in one.suspects:
        expected = shares[suspect.part_id, suspect.mode_id]
        assert suspect.probability == pytest.approx(expected, rel=1e-9, abs=1e-15)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_chances_of_every_state_add_up(kind: str) -> None:
    for state, chances in KINDS[kind].items():
        assert fsum(chances.values()) == pytest.approx(1), state
        assert set(chances) == set(MISSES[kind])
    assert fsum(MISSES[kind].values()) == pytest.approx(1)
    assert classes(kind) == len(MISSES[kind])


@any_family
def test_every_fault_predicts_every_point_with_chances_that_add_up(
    family: str,
) -> None:
    """No state of the rail tree is without its law of reading."""
    board = BOARDS[family]
    for part in board.parts.values():
        for mode in part.modes:
            for fault in faults_of(board, mode):
                spread = Spread(board, fault)
                for point_id in telling(board):
                    point = board.point(point_id)
                    kind = kind_of(board, point)
                    assert kind is not None
                    chances = [chance(spread, point, kind, c) for c in MISSES[kind]]
                    assert fsum(chances) == pytest.approx(1)
                    assert min(chances) >= MISSED_CONTACT * min(MISSES[kind].values())
