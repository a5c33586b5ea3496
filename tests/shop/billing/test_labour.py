"""Minutes on the bill (domain.md, Money): up once a kind and rate, by ticket."""

from decimal import Decimal
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.billing.labour import Labour, Spell, labour, rounded_up

RATE = Decimal("60.00")


def spells(kind: str, *minutes: int, rate: Decimal = RATE) -> list[Spell]:
    return [Spell(kind=kind, rate=rate, minutes=each) for each in minutes]


def billed(*groups: list[Spell], covered: int = 0) -> dict[str, int]:
    parts = labour(
        [spell for group in groups for spell in group],
        increment=15,
        covered_minutes=covered,
    )
    return {part.kind: part.billed for part in parts}


def test_7_9_and_20_minutes_are_45_not_60() -> None:
    assert billed(spells("repair", 7, 9, 20)) == {"repair": 45}


@pytest.mark.parametrize(
    ("minutes", "up"), [(0, 0), (1, 15), (15, 15), (16, 30), (55, 60), (80, 90)]
)
def test_minutes_go_up_to_the_increment(minutes: int, up: int) -> None:
    assert rounded_up(minutes, 15) == up


def test_an_increment_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one minute"):
        rounded_up(10, 0)


def test_kinds_round_apart() -> None:
    both = billed(spells("repair", 7), spells("proof", 9))
    assert both == {"repair": 15, "proof": 15}


def test_rates_round_apart_the_dearest_first() -> None:
    parts = labour(
        spells("repair", 7) + spells("repair", 9, rate=Decimal(90)),
        increment=15,
        covered_minutes=0,
    )
    assert [(int(part.rate), part.billed) for part in parts] == [(90, 15), (60, 15)]


@pytest.mark.parametrize(("logged", "rest"), [(30, 0), (45, 0), (46, 15), (75, 30)])
def test_the_fee_covers_diagnosis_and_the_rest_is_billed(
    logged: int, rest: int
) -> None:
    assert billed(spells("diagnosis", logged), covered=45) == {"diagnosis": rest}


def test_the_fee_covers_the_dearest_diagnosis_first() -> None:
    parts = labour(
        spells("diagnosis", 30) + spells("diagnosis", 30, rate=Decimal(90)),
        increment=15,
        covered_minutes=45,
    )
    assert [(int(part.rate), part.billed) for part in parts] == [(90, 0), (60, 15)]


def test_the_fee_covers_no_repair() -> None:
    assert billed(spells("repair", 30), covered=45) == {"repair": 30}


def test_machine_time_is_no_labour() -> None:
    assert billed(spells("machine", 120)) == {}


def test_warranty_time_is_logged_as_it_is_at_no_price() -> None:
    parts = labour(spells("warranty", 20, 3), increment=15, covered_minutes=0)
    assert parts == (Labour("warranty", Decimal(0), logged=23, billed=23),)


def test_minutes_taken_back_are_gone() -> None:
    assert billed(spells("repair", 20, -20), spells("proof", 20, 5, -5)) == {
        "proof": 30
    }


KINDS = st.sampled_from(
    ["diagnosis", "repair", "proof", "rework", "warranty", "machine"]
)
SPELLS = st.lists(
    st.builds(
        Spell,
        kind=KINDS,
        rate=st.sampled_from([Decimal(60), Decimal(90)]),
        minutes=st.integers(1, 600),
    )
)


@given(SPELLS, st.randoms(), st.integers(0, 90))
def test_the_order_of_entries_does_not_matter(
    entries: list[Spell], chance: Random, covered: int
) -> None:
    shuffled = list(entries)
    chance.shuffle(shuffled)
    there = labour(entries, increment=15, covered_minutes=covered)
    assert labour(shuffled, increment=15, covered_minutes=covered) == there


@given(SPELLS, st.integers(1, 60))
def test_rounding_adds_less_than_one_step_a_kind_and_rate(
    entries: list[Spell], increment: int
) -> None:
    for part in labour(entries, increment=increment, covered_minutes=0):
        assert 0 <= part.billed - part.logged < increment
