"""The reorder point against printed examples.

Sources: Stevenson, Operations Management, 14th ed., chapter 12, example 8 (read in
the stored page: demand in the lead time 50 and 5, 3 % risk, z 1.88, safety 9.40, point
59.40); the same chapter's example with 50 a week and 3, two weeks, 10 % risk, z 1.28
(the question read, the answer 105.43 from memory); Heizer and Render, Operations
Management, chapter 12 (read: 60 a week, lead time 6 weeks and 2, z 1.28: 513.6).
"""

from statistics import NormalDist

import pytest

from shop.billing.shelf.reorder import (
    LEAST_DELIVERIES,
    LEAST_USES,
    Point,
    TooFew,
    point_of,
    safety_stock,
)


@pytest.mark.parametrize(
    ("demand", "demand_sd", "lead", "lead_sd", "z", "printed"),
    [
        (50, 5, 1, 0, 1.88, 59.40),
        (50, 3, 2, 0, 1.28, 105.43),
        (60, 0, 6, 2, 1.28, 513.6),
    ],
)
def test_a_printed_example(
    demand: float,
    demand_sd: float,
    lead: float,
    lead_sd: float,
    z: float,
    printed: float,
) -> None:
    safety = safety_stock(demand, demand_sd, lead, lead_sd, z)
    assert demand * lead + safety == pytest.approx(printed, abs=0.005)


def test_z_is_the_tables() -> None:
    """Printed tables of the normal distribution: 97 % at 1.88, 90 % at 1.28."""
    normal = NormalDist()
    assert normal.inv_cdf(0.97) == pytest.approx(1.88, abs=0.005)
    assert normal.inv_cdf(0.90) == pytest.approx(1.28, abs=0.005)


def test_uses_and_deliveries_make_a_point_rounded_up() -> None:
    """One on every second day, always ten days: 5 and 1.645 * 0.503 * sqrt(10)."""
    point = point_of([0, 1] * 45, [10, 10, 10])
    assert isinstance(point, Point)
    assert point.demand * point.lead == pytest.approx(5)
    assert point.safety == pytest.approx(2.615, abs=0.001)
    assert (point.at, point.up_to) == (8, 23)


@pytest.mark.parametrize(
    ("used", "leads"),
    [
        ([LEAST_USES - 1] + [0] * 30, [7.0] * LEAST_DELIVERIES),
        ([LEAST_USES] + [0] * 30, [7.0] * (LEAST_DELIVERIES - 1)),
        ([LEAST_USES], [7.0] * LEAST_DELIVERIES),
    ],
)
def test_too_few_yet_says_how_many(used: list[int], leads: list[float]) -> None:
    assert point_of(used, leads) == TooFew(sum(used), len(leads))
