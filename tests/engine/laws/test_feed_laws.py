"""A rail beside what feeds it: what a dead feed does to a verdict, and what not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine.boards import board_of, load_family
from diagnostics.engine.feeds import with_feed
from diagnostics.engine.verdicts import Verdict, Word

pytestmark = pytest.mark.long

BOARD = board_of(load_family("laptop_barrel"))
POINTS = sorted(BOARD.points)
VOLTS = st.dictionaries(
    st.sampled_from(sorted(BOARD.rails)), st.sampled_from([0.0, 0.1, 0.11, 3.3, 19.0])
)


@given(st.sampled_from(POINTS), st.sampled_from(Word), VOLTS)
def test_a_feed_only_ever_makes_a_passing_rail_unclear(
    point_id: str, word: Word, volts: dict[str, float]
) -> None:
    before = Verdict(word, None, ())
    after = with_feed(BOARD, BOARD.point(point_id), before, volts)
    if after is not before:
        assert word in {Word.GOOD, Word.WATCH}
        assert after.word is Word.UNCLEAR
        assert after.settle


@given(st.sampled_from(POINTS), VOLTS)
def test_where_every_rail_read_has_volts_nothing_changes(
    point_id: str, volts: dict[str, float]
) -> None:
    fed = {rail: max(one, 0.2) for rail, one in volts.items()}
    before = Verdict(Word.GOOD, None, ())
    assert with_feed(BOARD, BOARD.point(point_id), before, fed) is before
