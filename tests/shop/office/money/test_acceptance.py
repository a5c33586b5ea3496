"""Quotes accepted, by number and by value."""

from hypothesis import given
from hypothesis import strategies as st

from shop.office.money.acceptance import Decided, Pile

PILES = st.builds(Pile, st.integers(0, 50), st.integers(0, 10_000_000))


def test_by_number_and_by_value() -> None:
    """Three of four, but the dear one was the no: 300 of 1200."""
    found = Decided(yes=Pile(3, 30000), no=Pile(1, 90000), expired=Pile())
    assert (found.by_count.percent, found.percent_by_value) == (75.0, 25.0)


def test_an_expired_quote_is_decided() -> None:
    found = Decided(yes=Pile(2, 200), no=Pile(), expired=Pile(2, 200))
    assert (found.by_count.percent, found.percent_by_value) == (50.0, 50.0)


def test_two_are_too_few() -> None:
    found = Decided(yes=Pile(2, 200), no=Pile(), expired=Pile())
    assert found.by_count.percent is found.percent_by_value is None


@given(PILES, PILES, PILES)
def test_a_share_is_between_none_and_all(yes: Pile, no: Pile, expired: Pile) -> None:
    found = Decided(yes, no, expired)
    for share in (found.by_count.percent, found.percent_by_value):
        assert share is None or 0 <= share <= 100


@given(PILES, PILES, PILES)
def test_another_yes_never_lowers_it(yes: Pile, no: Pile, expired: Pile) -> None:
    before = Decided(yes, no, expired)
    more = Decided(Pile(yes.count + 1, yes.minor + 1), no, expired)
    if before.by_count.percent is not None:
        assert more.by_count.share >= before.by_count.share
