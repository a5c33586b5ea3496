"""A drill that could not fail would prove nothing: its judges see every fault."""

import random

import pytest

from tests.drills import stock
from tests.drills.faults import not_exactly_once, not_kept, not_one_to_k
from tests.drills.place import Result
from tests.drills.scene import shop_and_person


def test_one_to_k_in_any_order_is_right() -> None:
    assert list(not_one_to_k("ticket", [3, 1, 2])) == []
    assert list(not_one_to_k("ticket", [])) == []


def test_a_gap_and_a_twin_are_each_named() -> None:
    assert list(not_one_to_k("ticket", [1, 2, 2, 4])) == [
        "ticket 2 is there 2 times",
        "ticket 3 is there 0 times",
    ]
    assert list(not_one_to_k("ticket", [0])) == ["ticket 0 is no number"]


def test_what_was_acknowledged_and_is_gone_is_named() -> None:
    assert not_kept("reading", ["a", "b"], ["a", "c"]) == [
        "reading b was acknowledged and is gone"
    ]


def test_everything_once_and_in_order_is_right() -> None:
    assert list(not_exactly_once("reading", ["a", "b"], ["a", "b"])) == []


def test_lost_doubled_unasked_and_out_of_order_are_each_named() -> None:
    assert list(not_exactly_once("reading", ["a", "b"], ["a", "a", "c"])) == [
        "reading b was acknowledged and is gone",
        "reading a is there 2 times",
        "reading c was never acknowledged",
    ]
    assert list(not_exactly_once("reading", ["a", "b"], ["b", "a"])) == [
        "readings are kept in another order"
    ]


def test_a_result_says_its_counts_and_what_was_lost() -> None:
    assert str(Result("numbers", {"tickets": 3})) == "numbers: 3 tickets: nothing lost"
    lost = tuple(f"ticket {n} is gone" for n in range(9))
    said = str(Result("numbers", {"tickets": 0}, lost))
    assert said.startswith("numbers: 0 tickets: 9 faults: ticket 0 is gone;")
    assert said.endswith("ticket 4 is gone; ...")


@pytest.mark.django_db
@pytest.mark.one_database
def test_a_shelf_that_differs_from_its_pieces_is_named() -> None:
    shop, person = shop_and_person()
    shelf, chance = stock.shelf_of(shop, 1), random.Random(1)
    for number in range(60):
        stock.moved(shelf, person, chance, number)
    assert list(stock.found_wrong(shelf)) == []
    assert list(stock.found_wrong_in_all(shop, [shelf])) == []
    shelf.pieces.append((99, 5))
    count = len(shelf.pieces)
    assert list(stock.found_wrong(shelf)) == [
        f"P-1: on hand come to {count - 1} of {count}",
        f"P-1: the moves come to {count - 1} of {count}",
        f"P-1: the lots come to {count - 1} of {count}",
        f"P-1: the draws come to {count - 1} of {count}",
        f"P-1: worth {sum(cost for _n, cost in shelf.pieces) - 5}",
    ]
    assert len(list(stock.found_wrong_in_all(shop, [shelf]))) == 1
