"""Whether a board model is worth taking in: each rule, and laws that hold for all."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.office.margin import Margin
from shop.office.money.worth import WANTED, Record, Worth, judged, least_price

USUAL = Record(
    closed=10,
    fixed=9,
    no_fix=1,
    no_part=0,
    dearest=15000,
    margin=Margin(tickets=10, invoiced=100000, parts=15000, minutes=900, labour=40000),
)


def dearer(cost: int) -> Record:
    """The usual, with that much labour."""
    return replace(USUAL, margin=replace(USUAL.margin, labour=cost))


@pytest.mark.parametrize(
    ("record", "worth"),
    [
        (USUAL, Worth.YES),
        (dearer(45000), Worth.YES),
        (dearer(45001), Worth.AT_LEAST),
        (dearer(90000), Worth.NOT),
        (replace(USUAL, closed=2, fixed=2, no_fix=0), Worth.FEW),
        (replace(USUAL, margin=replace(USUAL.margin, tickets=2)), Worth.FEW),
        (replace(USUAL, margin=replace(USUAL.margin, labour=None)), Worth.UNKNOWN),
        (replace(USUAL, fixed=7, no_fix=2, no_part=1), Worth.DONOR),
        (replace(USUAL, fixed=8, no_fix=2, no_part=2), Worth.YES),
        (replace(USUAL, fixed=4, no_fix=5, no_part=1), Worth.NOT),
        (replace(USUAL, margin=replace(USUAL.margin, invoiced=0)), Worth.NOT),
    ],
)
def test_each_rule(record: Record, worth: Worth) -> None:
    assert judged(record).worth == worth


def test_the_price_is_what_leaves_the_wanted_share() -> None:
    """Of 100.00: 15.00 parts and 51.00 labour a ticket ask for 66.00 / 0.6 = 110.00."""
    found = judged(dearer(51000))
    assert (found.worth, found.at_least) == (Worth.AT_LEAST, 11000)


RECORDS = st.builds(
    Record,
    closed=st.integers(0, 40),
    fixed=st.integers(0, 40),
    no_fix=st.integers(0, 10),
    no_part=st.integers(0, 10),
    dearest=st.integers(0, 100_000),
    margin=st.builds(
        Margin,
        tickets=st.integers(0, 40),
        invoiced=st.integers(-1000, 1_000_000),
        parts=st.integers(0, 300_000),
        minutes=st.integers(0, 5000),
        labour=st.none() | st.integers(0, 500_000),
    ),
)


@given(RECORDS)
def test_nothing_is_said_of_fewer_than_three(record: Record) -> None:
    is_few = record.closed < 3 or record.margin.tickets < 3
    assert (judged(record).worth == Worth.FEW) == is_few


@given(RECORDS, st.integers(1, 100_000))
def test_more_invoiced_never_makes_it_worse(record: Record, more: int) -> None:
    order = [Worth.NOT, Worth.AT_LEAST, Worth.YES]
    before = judged(record).worth
    margin = replace(record.margin, invoiced=record.margin.invoiced + more)
    after = judged(replace(record, margin=margin)).worth
    if before in order and after in order:
        assert order.index(after) >= order.index(before)


@given(RECORDS.filter(lambda one: one.margin.tickets > 0))
def test_at_that_price_the_wanted_share_is_left(record: Record) -> None:
    price = least_price(record.margin)
    cost = record.margin.parts + (record.margin.labour or 0)
    left = price * record.margin.tickets - cost
    assert 100 * left >= WANTED * price * record.margin.tickets
    less = (price - 1) * record.margin.tickets
    assert cost == 0 or 100 * (less - cost) < WANTED * less
