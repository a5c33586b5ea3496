"""Ranked parts, and how sure the first name is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine.asks import Asker
from diagnostics.engine.kernels import kernels
from diagnostics.engine.naming import Name, confidence, names
from diagnostics.engine.weigh import Weighing
from tests.engine.made_up import fault, made, weighing

# The cap and the chip short the same rail and can't be told apart but by lifting the
# chip; the fuse can, and so can a dead chip.
BOARD = made(
    {"rail": "R", "volts": "V", "lifted": "R"},
    {
        "": {"rail": 1000.0, "volts": 3.3, "lifted": 5000.0},
        "cap.short": {"rail": 0.5, "volts": 0.0, "lifted": 0.5},
        "chip.short": {"rail": 0.5, "volts": 0.0},
        "chip.dead": {"volts": 0.0},
        "fuse.open": {"volts": 1.0},
    },
)
KNOWN = kernels(BOARD)
ASKER = Asker(KNOWN, lambda _point: 1.0)


def read(**readings: float) -> Weighing:
    one = weighing(KNOWN)
    for point, value in readings.items():
        one.take(point, value)
    return one


def test_the_ways_of_a_part_add_up_and_the_likeliest_comes_first() -> None:
    faults = [fault(one) for one in ("", "cap.short", "chip.short", "chip.dead")]
    found = names(faults, np.array([0.1, 0.3, 0.25, 0.2]))
    assert found == [
        Name("chip", pytest.approx(0.45)),  # type: ignore[arg-type]
        Name("cap", 0.3),
        Name("", 0.1),
    ]


def test_of_equals_the_order_is_that_of_their_names() -> None:
    faults = [fault(one) for one in ("", "z.x", "b.x", "a.x")]
    found = names(faults, np.array([0.1, 0.3, 0.3, 0.3]))
    assert [one.part for one in found] == ["a", "b", "z", ""]


@given(st.lists(st.floats(0, 1), min_size=5, max_size=5))
def test_no_share_is_lost_or_made(shares: list[float]) -> None:
    found = names(BOARD.faults, np.array(shares))
    assert sum(one.probability for one in found) == pytest.approx(sum(shares))
    assert len({one.part for one in found}) == len(found) == 4


def test_parts_that_no_open_check_can_tell_apart_count_as_one() -> None:
    one = read(rail=0.5, volts=0.0)
    shares, _other, _boards = one.posterior()
    first = names(BOARD.faults, shares)[0]
    assert first.probability < 0.7
    sure = confidence(ASKER, one, lambda point: point != "lifted")
    assert sure == pytest.approx(shares[1] + shares[2] + shares[3])
    assert sure > 0.9


def test_parts_that_an_open_check_would_tell_apart_do_not() -> None:
    one = read(rail=0.5, volts=0.0)
    shares, _other, _boards = one.posterior()
    first = names(BOARD.faults, shares)[0]
    sure = confidence(ASKER, one, lambda point: point == "lifted")
    assert sure == pytest.approx(first.probability)


def test_where_every_check_is_closed_all_that_is_left_counts_as_one() -> None:
    one = read(rail=0.5)
    shares, other, _boards = one.posterior()
    sure = confidence(ASKER, one, lambda _point: False)
    assert sure == pytest.approx(1 - other, abs=0.02)
    assert sure <= shares.sum() + 1e-12


def test_what_is_hardly_believed_adds_nothing() -> None:
    """Parts under half a per cent are not looked at, alike or not."""
    one = read(rail=0.5, volts=0.0, lifted=0.5)
    shares, _other, _boards = one.posterior()
    assert shares[2] < 0.05
    first = names(BOARD.faults, shares)[0]
    assert first.part == "cap"
    sure = confidence(ASKER, one, lambda _point: False)
    small = [one.probability for one in names(BOARD.faults, shares)[1:]]
    assert sure == pytest.approx(first.probability + sum(p for p in small if p > 0.005))


def test_when_nothing_explains_it_no_name_is_sure() -> None:
    one = weighing(KNOWN)
    for _again in range(6):
        one.take("volts", 12.0)
    assert confidence(ASKER, one, lambda _point: True) < 0.01
