"""Laws of the assessment, whatever was read in whatever order."""

import random
from math import fsum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.engine.assess import assess
from diagnostics.engine.boards import FAMILY_IDS, Board
from diagnostics.engine.evidence import Done, Evidence, Seen, Sight
from diagnostics.engine.quantities import Outcome
from tests.engine.shop_models import NOTHING_HELD, model

pytestmark = pytest.mark.long

any_family = pytest.mark.parametrize("family", FAMILY_IDS)
ANSWERS = ["steady", "at_limit", "silent", "bursts", "falls_and_returns", "nonsense"]


def seen_on(board: Board) -> st.SearchStrategy[Seen]:
    return st.builds(
        Seen,
        st.sampled_from(sorted(board.points)),
        st.sampled_from(["good", "watch", "bad", "unclear"]),
        st.sampled_from(list(Outcome)),
        st.none() | st.floats(-20, 1e5),
        st.integers(0, 2),
        fitted=st.sampled_from([frozenset(), frozenset({"cpu"})]),
        answer=st.sampled_from(ANSWERS),
        is_net=st.booleans(),
        is_told=st.booleans(),
    )


def evidence_of(board: Board) -> st.SearchStrategy[Evidence]:
    parts = st.sampled_from(["", *board.parts])
    kinds = st.sampled_from(["replaced", "lifted", "removed", "fitted", "cleaned"])
    return st.builds(
        Evidence,
        st.lists(seen_on(board), max_size=12).map(tuple),
        st.lists(st.builds(Done, st.integers(1, 3), parts, kinds), max_size=2).map(
            tuple
        ),
        st.lists(
            st.builds(Sight, st.sampled_from(["burnt", "flux"]), parts), max_size=2
        ).map(tuple),
    )


@any_family
@settings(max_examples=30, deadline=None)
@given(st.data())
def test_the_shares_add_up_and_nothing_is_certain(
    family: str, data: st.DataObject
) -> None:
    one = model(family)
    found = assess(one, data.draw(evidence_of(one.board)), NOTHING_HELD)
    shares = [suspect.probability for suspect in found.suspects]
    total = fsum([*shares, found.something_else, found.no_fault])
    assert total == pytest.approx(1)
    assert min(shares) >= 0
    assert max([*shares, found.no_fault]) < 1
    assert shares[1:] == sorted(shares[1:], reverse=True) or shares[0] < max(shares)
    assert found.something_else >= 0.0099
    assert 0 <= found.confidence < 1


@any_family
@settings(max_examples=15, deadline=None)
@given(st.data(), st.integers())
def test_the_order_of_readings_of_different_points_does_not_matter(
    family: str, data: st.DataObject, seed: int
) -> None:
    one = model(family)
    readings = st.lists(
        seen_on(one.board), max_size=10, unique_by=lambda seen: seen.point_id
    )
    seen = data.draw(readings)
    shuffled = random.Random(seed).sample(seen, len(seen))
    first, other = (
        assess(one, Evidence(tuple(order)), NOTHING_HELD) for order in (seen, shuffled)
    )
    shares = {suspect.key: suspect.probability for suspect in other.suspects}
    for suspect in first.suspects:
        expected = shares[suspect.key]
        assert suspect.probability == pytest.approx(expected, rel=1e-6, abs=1e-12)
