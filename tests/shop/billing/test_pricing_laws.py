"""Laws of labour, minimum, express and cap, reckoned a second time in fractions.

The rules are those of domain.md section 9: up once for each kind and rate, half up to
the minor unit, and never beyond what was agreed.
"""

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor
from types import SimpleNamespace
from typing import Any

from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from shop.billing.beyond import up_to_cap
from shop.billing.labour import OF_A_FIXED_JOB, Spell, labour
from shop.billing.rates.flat import express_on, up_to_minimum
from shop.billing.totals import Line, totals
from shop.money import Money

SPELLS = st.lists(
    st.builds(
        Spell,
        kind=st.sampled_from(["diagnosis", "repair", "proof", "rework", "warranty"]),
        rate=st.sampled_from([Decimal(60), Decimal("72.50"), Decimal(90)]),
        minutes=st.integers(1, 300),
    ),
    max_size=12,
)
CENTS = st.integers(0, 500_00)


def half_up(value: Fraction) -> int:
    return floor(value + Fraction(1, 2))


@given(SPELLS, st.sampled_from([1, 6, 10, 15, 30]), st.integers(0, 90))
def test_billed_minutes_by_a_second_reckoning(
    spells: list[Spell], step: int, covered: int
) -> None:
    """In all kinds but two a rate's minutes go up once; no entry rounds by itself."""
    logged = defaultdict[tuple[str, Decimal], int](int)
    for spell in spells:
        logged[spell.kind, spell.rate] += spell.minutes
    bill = labour(spells, increment=step, covered_minutes=covered)
    for one in bill:
        if one.kind in OF_A_FIXED_JOB:
            minutes = logged[one.kind, one.rate]
            assert one.billed == ceil(Fraction(minutes, step)) * step
        assert one.billed < one.logged + step
    diagnosed = [one for one in bill if one.kind == "diagnosis"]
    worked = sum(one.logged for one in diagnosed)
    unpaid = max(0, worked - covered)
    billed = sum(one.billed for one in diagnosed)
    assert unpaid <= billed < unpaid + step * max(1, len(diagnosed))


@given(SPELLS, st.integers(0, 600))
def test_a_fixed_price_pays_its_minutes_and_no_others(
    spells: list[Spell], paid: int
) -> None:
    bill = labour(spells, increment=1, covered_minutes=0, fixed_minutes=paid)
    hands_on = [one for one in bill if one.kind in OF_A_FIXED_JOB]
    worked = sum(one.logged for one in hands_on)
    assert sum(one.billed for one in hands_on) == max(0, worked - paid)
    everything = labour(spells, increment=1, covered_minutes=0, fixed_minutes=None)
    assert not any(one.billed for one in everything if one.kind in OF_A_FIXED_JOB)
    others = [one for one in bill if one.kind not in OF_A_FIXED_JOB]
    assert others == [one for one in everything if one.kind not in OF_A_FIXED_JOB]


@given(CENTS, CENTS, st.integers(0, 300))
def test_minimum_and_express_in_whole_cents(
    labour_cents: int, least_cents: int, percent: int
) -> None:
    net = Money.from_minor(labour_cents, "EUR")
    more = up_to_minimum(net, Money.from_minor(least_cents, "EUR"))
    expected = max(0, least_cents - labour_cents) if labour_cents else 0
    assert more.minor == expected
    express = express_on(net + more, percent)
    assert express.minor == half_up(Fraction((labour_cents + expected) * percent, 100))


@given(
    st.lists(st.integers(1, 300_00), min_size=1, max_size=6),
    st.sampled_from(["0", "5.5", "19", "20", "120"]),
    CENTS,
)
def test_an_invoice_up_to_the_cap_never_exceeds_it(
    nets: list[int], percent: str, cap_cents: int
) -> None:
    """It comes within what one cent of net and its tax make, and lines stay."""
    lines = [
        Line.priced(
            code="labour.repair",
            text="Repair",
            quantity=Decimal(1),
            unit_price=Decimal(net).scaleb(-2),
            tax_percent=Decimal(percent),
            currency="EUR",
        )
        for net in nets
    ]
    cap = Money.from_minor(cap_cents, "EUR")
    prices: Any = SimpleNamespace(speaking=lambda: translation.override("en"))
    billed = up_to_cap(lines, cap, prices)
    before, after = (totals(rows, "EUR").total for rows in (lines, billed))
    assert list(billed[: len(lines)]) == lines
    if before <= cap:
        assert list(billed) == lines
    else:
        most = 1 + ceil(Fraction(percent) / 100)
        assert 0 <= cap.minor - after.minor <= most
