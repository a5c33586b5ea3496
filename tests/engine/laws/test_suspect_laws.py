"""Laws of the ranking, whatever was read in whatever order."""

import random
from math import fsum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.engine.boards import board_of, load_family
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

BOARD = board_of(load_family("laptop_barrel"))
TELLING = sorted(p.id for p in BOARD.points.values() if kind_of(BOARD, p))

SEEN = st.builds(
    Seen,
    st.sampled_from(TELLING),
    st.sampled_from(["good", "watch", "bad", "unclear"]),
    st.sampled_from(list(Outcome)),
    st.none() | st.floats(0, 1e5),
    st.integers(0, 2),
)
DONE = st.builds(Done, st.integers(1, 3), st.sampled_from(["", *BOARD.parts]))
EVIDENCE = st.builds(
    Evidence,
    st.lists(SEEN, max_size=12).map(tuple),
    st.lists(DONE, max_size=2).map(tuple),
)


@settings(max_examples=40, deadline=None)
@given(EVIDENCE)
def test_the_shares_add_up_and_nothing_is_certain(evidence: Evidence) -> None:
    ranking = rank(BOARD, evidence)
    shares = [one.probability for one in ranking.suspects]
    total = fsum([*shares, ranking.something_else, ranking.no_fault])
    assert total == pytest.approx(1)
    assert min(shares) >= 0
    assert max([*shares, ranking.no_fault]) < 1
    assert shares == sorted(shares, reverse=True)
    assert ranking.something_else >= 0.01


@settings(max_examples=25, deadline=None)
@given(st.lists(SEEN, max_size=10, unique_by=lambda one: one.point_id), st.integers())
def test_the_order_of_readings_of_different_points_does_not_matter(
    seen: list[Seen], seed: int
) -> None:
    shuffled = random.Random(seed).sample(seen, len(seen))
    one, other = (
        rank(BOARD, Evidence(tuple(seen))),
        rank(BOARD, Evidence(tuple(shuffled))),
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


def test_every_fault_predicts_every_point_with_chances_that_add_up() -> None:
    """No state of the rail tree is without its law of reading."""
    for part in BOARD.parts.values():
        for mode in part.modes:
            for fault in faults_of(BOARD, mode):
                spread = Spread(BOARD, fault)
                for point_id in TELLING:
                    point = BOARD.point(point_id)
                    kind = kind_of(BOARD, point)
                    assert kind is not None
                    chances = [chance(spread, point, kind, c) for c in MISSES[kind]]
                    assert fsum(chances) == pytest.approx(1)
                    assert min(chances) >= MISSED_CONTACT * min(MISSES[kind].values())
