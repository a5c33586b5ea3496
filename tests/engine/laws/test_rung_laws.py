"""A rung's word never says anything else than the verdicts under it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.engine.boards import board_of, load_family
from diagnostics.engine.rungs import rung

pytestmark = pytest.mark.long

BOARD = board_of(load_family("laptop_barrel"), not_fitted=frozenset({"graphics"}))
WORDS = st.sampled_from([None, "good", "watch", "bad", "unclear"])


@settings(max_examples=100, deadline=None)
@given(
    rail=st.sampled_from(sorted(BOARD.rails)),
    cold=WORDS,
    live=WORDS,
    volts=st.none() | st.floats(-1, 20),
    condition=st.sampled_from(["", "U", "A", "B", "R", "S", "J"]),
)
def test_a_rung_never_disagrees_with_its_verdicts(
    rail: str, cold: str | None, live: str | None, volts: float | None, condition: str
) -> None:
    found = rung(
        BOARD, rail, cold=cold, live=live, live_volts=volts, in_condition=condition
    )
    if not BOARD.is_fitted(rail):
        assert found.word == "not_fitted"
        return
    assert (found.word == "down") == ("bad" in {cold, live})
    assert found.word != "up" or (live == "good" and cold != "bad")
    assert found.word != "odd" or live == "watch"
    assert found.word != "resting" or live in {None, "unclear"}
    assert found.word != "unread" or live in {None, "unclear"}
