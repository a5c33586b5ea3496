"""FIFO against printed examples, and against a model that knows no lots.

Sources: "100 units @ 10, 200 @ 12, sold 150: cost 1,600, left 1,800" (an accounting
course's lesson on FIFO, read in the stored page); "100 @ 50, 125 @ 55, 75 @ 59, sold
210: cost 11,050, left 5,250" (encyclopedia article on FIFO and LIFO, from memory;
the arithmetic is reckoned by hand). Both are first in, first out as IAS 2 means it.
"""

from collections import deque
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.billing.shelf.fifo import Draw, Lot, NotEnough, cost_of, each, take, value

PRINTED = [
    ([(100, 10), (200, 12)], 150, 1600, 1800),
    ([(100, 50), (125, 55), (75, 59)], 210, 11050, 5250),
]
LOTS = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 10_000)), min_size=1, max_size=12
)


def lots_of(pairs: list[tuple[int, int]]) -> list[Lot]:
    return [Lot(n, left, cost) for n, (left, cost) in enumerate(pairs)]


def after(lots: list[Lot], draws: tuple[Draw, ...]) -> list[Lot]:
    gone = {draw.lot.id: draw.quantity for draw in draws}
    return [replace(lot, left=lot.left - gone.get(lot.id, 0)) for lot in lots]


@pytest.mark.parametrize(("pairs", "sold", "cost", "left"), PRINTED)
def test_a_printed_example(
    pairs: list[tuple[int, int]], sold: int, cost: int, left: int
) -> None:
    lots = lots_of(pairs)
    draws = take(lots, sold)
    assert (cost_of(draws), value(after(lots, draws))) == (cost, left)


@given(LOTS, st.lists(st.integers(1, 30), max_size=12))
def test_piece_by_piece_it_comes_to_the_same(
    pairs: list[tuple[int, int]], takings: list[int]
) -> None:
    """The model is a queue of single pieces, each with its cost."""
    lots = lots_of(pairs)
    queue = deque(cost for left, cost in pairs for _ in range(left))
    for quantity in takings:
        if quantity > len(queue):
            with pytest.raises(NotEnough):
                take(lots, quantity)
            continue
        draws = take(lots, quantity)
        assert cost_of(draws) == sum(queue.popleft() for _ in range(quantity))
        assert sum(draw.quantity for draw in draws) == quantity
        lots = after(lots, draws)
    assert value(lots) == sum(queue)


@pytest.mark.parametrize("wrong", [0, -1])
def test_less_than_one_is_no_taking(wrong: int) -> None:
    with pytest.raises(ValueError, match="At least one"):
        take([Lot(1, 5, 10)], wrong)


def test_one_piece_of_lots_that_differ_costs_their_mean_half_up() -> None:
    assert each([Draw(Lot(1, 9, 100), 1), Draw(Lot(2, 9, 101), 1)]) == 101
    assert each([Draw(Lot(1, 9, 100), 2), Draw(Lot(2, 9, 101), 1)]) == 100
