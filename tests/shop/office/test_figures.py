"""Turnaround figures, against Little's law and by hand."""

from datetime import UTC, datetime, timedelta

import pytest

from shop.intake.turn import Piece, Whose
from shop.office.figures import FEWEST, days_of, mean_split

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def pieces(*spans: tuple[Whose, float]) -> list[Piece]:
    made, at = [], START
    for whose, days in spans:
        end = at + timedelta(days=days)
        made.append(Piece(whose=whose, part="", start=at, end=end))
        at = end
    return made


ONE = pieces((Whose.OURS, 2), (Whose.CUSTOMER, 1), (Whose.OURS, 1), (Whose.HANDOVER, 2))


def test_days_of_one_party_are_added_over_its_pieces() -> None:
    assert days_of(ONE, Whose.OURS) == pytest.approx(3)
    assert days_of(ONE, Whose.SUPPLIER) == 0


def test_the_parts_of_the_split_add_up_to_the_total() -> None:
    split = mean_split([ONE, pieces((Whose.OURS, 4)), pieces((Whose.SUPPLIER, 6))])
    assert split is not None
    parts = split.ours + split.customer + split.supplier + split.handover
    assert parts == pytest.approx(split.total)
    assert split.total == pytest.approx((6 + 4 + 6) / 3)
    assert split.tickets == 3


def test_too_few_tickets_give_no_mean() -> None:
    assert mean_split([ONE] * (FEWEST - 1)) is None
    assert mean_split([]) is None


def test_mean_time_in_the_shop_obeys_littles_law() -> None:
    """Little & Graves 2008, ch. 5: L = 160, arrivals 8 a month, so W = 20 months.

    A shop that always holds 160 tickets and takes in 8 a month keeps each for 20
    months; the mean of our split must say so.
    """
    months = timedelta(days=30) / timedelta(days=1)
    stay = 160 / 8 * months
    split = mean_split([pieces((Whose.OURS, stay))] * 8)
    assert split is not None
    assert split.total / months == pytest.approx(20)
