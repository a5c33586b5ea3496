"""Moments of a tablet, for any clock: never in the future, never out of order."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from diagnostics.tablet_clock import moment_of

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
TWO_DAYS = 2 * 86_400_000
OFF = st.integers(-TWO_DAYS, TWO_DAYS)
WAITED = st.lists(st.integers(0, TWO_DAYS), min_size=2, max_size=30)


@given(waited=WAITED, off=OFF, is_told=st.booleans())
def test_any_clock_gives_the_moments_in_their_order(
    waited: list[int], off: int, is_told: bool
) -> None:
    """Kept one after the other, sent together, by a clock that is off by ``off``."""
    now = NOON.timestamp() * 1000
    oldest_first = sorted(waited, reverse=True)
    found = [
        moment_of(
            taken=now + off - one,
            sent=now + off,
            ahead=off if is_told else None,
            now=NOON,
        )
        for one in oldest_first
    ]
    moments = [one.at for one in found if one is not None]
    assert len(moments) == len(waited)
    assert all(a <= b for a, b in pairwise(moments))
    for moment, one in zip(moments, oldest_first, strict=True):
        assert moment <= NOON
        assert abs(NOON - timedelta(milliseconds=one) - moment) < timedelta(
            seconds=0.01
        )


@given(taken=st.floats(), sent=st.floats(-1e15, 1e15), ahead=st.none() | OFF)
def test_nonsense_is_no_moment_or_one_before_now(
    taken: float, sent: float, ahead: int | None
) -> None:
    found = moment_of(taken=taken, sent=sent, ahead=ahead, now=NOON)
    assert found is None or found.at <= NOON
