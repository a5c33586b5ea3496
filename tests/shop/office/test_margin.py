"""Margin by board model: by hand, and against a textbook's contribution margin."""

from datetime import UTC, datetime, timedelta

import pytest

from shop.office.margin import Margin, Rate, Worked, labour_of, margin_of

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
DAY = timedelta(days=1)
NO_RATE = [Rate(START - 99 * DAY, None)]
RATE = [Rate(START - 99 * DAY, 3000)]


def worked(minutes: int, day: int = 0) -> Worked:
    return Worked(1, minutes, START + day * DAY)


def test_a_board_that_leaves_what_its_parts_and_time_have_not_taken() -> None:
    """Of 300.00: parts 36.00, 144 min at 30.00 an hour 72.00; 192.00 is left."""
    margin = margin_of(
        tickets=3, invoiced=30000, parts=3600, worked=[worked(144)], rates=RATE
    )
    assert (margin.labour, margin.left, margin.percent) == (7200, 19200, 64)


def test_it_is_the_contribution_margin_of_the_textbooks() -> None:
    """OpenStax, Principles of Managerial Accounting, 3.1; figures from memory: sold
    at 100, variable cost 20, contribution margin 80, ratio 80 %; also 75, 15, 80 %."""
    for price, cost in ((100, 20), (75, 15)):
        margin = margin_of(tickets=3, invoiced=price, parts=cost, worked=[], rates=RATE)
        assert (margin.left, margin.percent) == (price - cost, 80)


@pytest.mark.parametrize(
    ("tickets", "invoiced", "rates"),
    [(2, 30000, RATE), (3, 0, RATE), (3, 30000, NO_RATE)],
    ids=["too few", "nothing invoiced", "no cost rate"],
)
def test_no_share_is_given_that_would_mislead(
    tickets: int, invoiced: int, rates: list[Rate]
) -> None:
    margin = margin_of(
        tickets=tickets, invoiced=invoiced, parts=3600, worked=[worked(60)], rates=rates
    )
    assert margin.percent is None
    assert margin.left == invoiced - 3600 - (0 if rates is NO_RATE else 3000)


def test_what_was_lost_is_a_negative_share() -> None:
    margin = Margin(tickets=3, invoiced=10000, parts=9000, minutes=60, labour=3000)
    assert margin.percent == -20


def test_work_costs_what_an_hour_cost_on_its_day() -> None:
    rates = [Rate(START, 3000), Rate(START + 10 * DAY, 3600)]
    hour_each = [worked(60, day=1), worked(60, day=11)]
    assert labour_of(hour_each, rates) == 6600
    assert labour_of([worked(60, day=-5)], rates) == 3000, "before the first: at it"


def test_a_rate_taken_away_is_none() -> None:
    rates = [Rate(START, 3000), Rate(START + DAY, None)]
    assert labour_of([worked(60)], rates) is None


def test_minutes_taken_back_cost_nothing_and_a_half_rounds_up() -> None:
    assert labour_of([worked(60), worked(-60)], RATE) == 0
    assert labour_of([worked(1)], [Rate(START, 30)]) == 1  # 0.5 minor units
