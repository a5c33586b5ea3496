"""Laws of the discretised question; tests/published/ has it against others."""

from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine import discrete
from diagnostics.engine.circuit.newton import Floats

# Two faults, a yes or no, two boards: on the first they differ, on the second not.
TABLE = np.array([[[0.9, 0.5], [0.1, 0.5]], [[0.2, 0.5], [0.8, 0.5]]])
EVEN = np.array([0.5, 0.5])


def test_an_answer_by_hand() -> None:
    """Yes: 0.1 and 0.5 make 0.3 on average, 0.8 and 0.5 make 0.65."""
    shares, boards = discrete.posterior(EVEN, [(TABLE, 1)])
    assert shares == pytest.approx([0.3 / 0.95, 0.65 / 0.95])
    assert boards[1] == pytest.approx([0.8 / 1.3, 0.5 / 1.3])
    again = discrete.foretold(TABLE, boards)
    assert again[1, 1] == pytest.approx((0.8 * 0.8 + 0.5 * 0.5) / 1.3)


def test_the_same_answer_twice_tells_which_board_it_is() -> None:
    """The mean of products, not the product of means."""
    shares, _boards = discrete.posterior(EVEN, [(TABLE, 1), (TABLE, 1)])
    one, other = (0.1**2 + 0.5**2) / 2, (0.8**2 + 0.5**2) / 2
    assert shares == pytest.approx([one / (one + other), other / (one + other)])


def test_what_is_impossible_stays_so() -> None:
    sure = np.array([[[1.0, 1.0], [0.0, 0.0]], [[0.0, 1.0], [1.0, 0.0]]])
    shares, boards = discrete.posterior(EVEN, [(sure, 1)])
    assert shares.tolist() == [0.0, 1.0]
    assert boards.tolist() == [[0.5, 0.5], [1.0, 0.0]]
    never, _boards = discrete.posterior(np.array([0.0, 1.0]), [(TABLE, 0)])
    assert never.tolist() == [0.0, 1.0]


def test_answers_that_nothing_allows_are_an_error() -> None:
    with pytest.raises(ValueError, match="nothing allows"):
        discrete.posterior(EVEN, [(np.zeros((2, 2, 2)), 0)])


def test_without_an_answer_the_priors_stand() -> None:
    shares, boards = discrete.posterior(np.array([0.3, 0.7]), [])
    assert shares == pytest.approx([0.3, 0.7])
    assert boards.tolist() == [[1.0], [1.0]]


def distributions(count: int) -> st.SearchStrategy[Floats]:
    weights = st.lists(st.floats(0.0, 1.0), min_size=count, max_size=count)
    return weights.filter(lambda one: sum(one) > 0.01).map(
        lambda one: np.array(one) / sum(one)
    )


@given(distributions(3), st.lists(distributions(4), min_size=3, max_size=3))
def test_information_is_never_negative_nor_more_than_is_unknown(
    shares: Floats, rows: list[Floats]
) -> None:
    """And it is the mean fall of entropy, the other way to say it."""
    found = discrete.information(np.array(rows), shares)
    unknown = float(discrete.entropy(shares))
    assert -1e-12 <= found <= unknown + 1e-9
    left = 0.0
    for answer in range(4):
        joint = shares * np.array(rows)[:, answer]
        if joint.sum() > 0:
            left += joint.sum() * float(discrete.entropy(joint / joint.sum()))
    assert found == pytest.approx(unknown - left, abs=1e-9)


def test_entropy_is_in_nats() -> None:
    assert discrete.entropy(np.array([0.5, 0.5])) == pytest.approx(log(2))
    assert discrete.entropy(np.eye(3)) == pytest.approx([0, 0, 0])
