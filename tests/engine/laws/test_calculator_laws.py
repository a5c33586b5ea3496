"""Laws of the calculators: monotone where they must be, never without an answer."""

from dataclasses import fields
from math import isfinite
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnostics.engine.calculators.copper import Copper, copper
from diagnostics.engine.calculators.discharges import Discharge, discharge
from diagnostics.engine.calculators.dividers import Divider, divider
from diagnostics.engine.calculators.entries import fill
from diagnostics.engine.calculators.injection import Injection, inject
from diagnostics.engine.calculators.markings import MULTIPLIERS, Marking, marking
from diagnostics.engine.calculators.phases import Phases, balance
from diagnostics.engine.calculators.registry import CALCULATORS
from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Kind,
    floats_of,
)
from diagnostics.engine.calculators.usb_c import CcLine, cc_offer

pytestmark = pytest.mark.long

OHMS = st.floats(1.0, 1e7)
VOLTS = st.floats(0.05, 60.0)
SHARES = st.floats(0.0, 0.2)


@given(OHMS, OHMS, OHMS, st.floats(0.3, 3.0))
def test_more_above_more_out_more_below_less(
    top: float, more: float, bottom: float, reference: float
) -> None:
    plain = divider(Divider(top, bottom, reference)).volts
    higher = divider(Divider(top + more, bottom, reference)).volts
    lower = divider(Divider(top, bottom + more, reference)).volts
    assert plain is not None
    assert higher is not None
    assert lower is not None
    assert lower <= plain <= higher
    assert plain >= reference


@given(OHMS, OHMS, st.floats(0.3, 3.0), SHARES, SHARES)
def test_the_corners_hold_the_middle(
    top: float, bottom: float, reference: float, parts: float, ref: float
) -> None:
    found = divider(Divider(top, bottom, reference, parts, ref))
    assert found.low is not None
    assert found.volts is not None
    assert found.high is not None
    slack = 1e-12 * found.volts
    assert found.low <= found.volts + slack <= found.high + 2 * slack


@given(st.floats(1e-9, 1e-2), OHMS, OHMS, VOLTS, st.floats(0.01, 0.99))
def test_more_ohms_drain_slower_with_less_heat_at_first(
    farad: float, ohms: float, more: float, start: float, share: float
) -> None:
    fast = discharge(Discharge(farad, ohms, start, start * share))
    slow = discharge(Discharge(farad, ohms + more, start, start * share))
    assert 0 < fast.seconds <= slow.seconds
    assert fast.peak_watts >= slow.peak_watts
    assert fast.joules == slow.joules


@given(st.integers(1, 96), st.sampled_from(sorted(MULTIPLIERS)))
def test_a_two_digit_code_is_read_and_both_ways_where_it_can_be(
    number: int, letter: str
) -> None:
    text = f"{number:02}{letter}"
    found = marking(Marking(text))
    by_letter = float(number) if letter == "R" else None
    if by_letter is not None:
        assert found.all[0] == by_letter
        is_two = len(found.all) == 2
        assert is_two is ("marking_ambiguous" in {one.code for one in found.reasons})
    assert found == marking(Marking(text.lower()))


@given(st.lists(st.floats(0.001, 0.05), min_size=2, max_size=12), st.randoms())
def test_the_order_of_phases_and_the_scale_of_drops_change_no_balance(
    drops: list[float], random: Any
) -> None:
    mixed = drops.copy()
    random.shuffle(mixed)
    first = balance(Phases(tuple(drops), 1e-3)).imbalance_percent
    other = balance(Phases(tuple(mixed), 1e-3)).imbalance_percent
    large = balance(Phases(tuple(3 * d for d in drops), 1e-3)).imbalance_percent
    assert first == pytest.approx(other, abs=1e-9)
    assert first == pytest.approx(large, abs=1e-9)
    assert first >= 0


@given(st.floats(0, 1e4), st.floats(1e-6, 1e-3), st.floats(-40, 150))
def test_copper_is_in_step_with_its_squares(
    squares: float, thick: float, celsius: float
) -> None:
    one = copper(Copper(1.0, thick, celsius)).ohms
    assert copper(Copper(squares, thick, celsius)).ohms == pytest.approx(squares * one)


@given(st.floats(0, 5), st.floats(0, 5))
def test_more_volts_on_the_line_never_offer_less(first: float, second: float) -> None:
    low, high = sorted((first, second))
    assume(high <= 2.04)
    less, more = (cc_offer(CcLine(cc_volts=volts)).amperes for volts in (low, high))
    assert (less or 0) <= (more or 0)


@given(
    st.floats(0.3, 60),
    st.floats(0.01, 60),
    st.floats(0.01, 10),
    st.none() | st.floats(0.01, 10),
    st.sampled_from(["thin", "core"]),
    st.floats(0, 1000),
)
def test_no_injection_ever_goes_beyond_its_limits(
    nominal: float,
    volts: float,
    amperes: float,
    last: float | None,
    kind: str,
    ohms: float,
) -> None:
    """Whatever is asked, what is let through keeps every limit of the brief."""
    asked = Injection(
        nominal_volts=nominal,
        set_volts=volts,
        set_amperes=amperes,
        ohms=ohms,
        last_amperes=last,
        board_kind=kind,
        is_pack_out=True,
        is_adapter_out=True,
        are_modules_out=True,
    )
    try:
        found = inject(asked)
    except CalculatorError:
        return
    assert volts < nominal
    assert volts <= 0.9 * nominal * (1 + 1e-9)
    assert last is not None or volts <= 1.0 + 1e-9
    assert amperes <= {"thin": 3.0, "core": 5.0}[kind] + 1e-9
    assert amperes <= (last or 0) + 0.5 + 1e-8
    assert found.amperes <= amperes
    assert found.drop_volts <= volts * (1 + 1e-9)


# --- all of them ----------------------------------------------------------------

ANY = st.floats() | st.sampled_from([0.0, -1.0, 1e308, -1e308, 5e-324])


def any_given(calculator: Calculator) -> st.SearchStrategy[Any]:
    """The calculator's input with any floats at all."""
    by_kind: dict[Kind, st.SearchStrategy[Any]] = {
        Kind.NUMBER: ANY,
        Kind.MANY: st.lists(ANY, max_size=4).map(tuple),
        Kind.TEXT: st.text(max_size=8),
        Kind.TICK: st.booleans(),
        Kind.CHOICE: st.sampled_from(["thin", "core", ""]),
        Kind.KNOWN: st.sampled_from(["passed", "bad", "open"]),
    }
    return st.builds(
        calculator.given,
        **{
            one.name: by_kind[one.kind] | st.none()
            if one.is_optional and one.kind is Kind.NUMBER
            else by_kind[one.kind]
            for one in calculator.inputs
        },
    )


@pytest.mark.parametrize("calculator", CALCULATORS.values(), ids=list(CALCULATORS))
@given(data=st.data())
def test_any_numbers_lead_to_a_finite_result_or_a_refusal(
    calculator: Calculator, data: st.DataObject
) -> None:
    given_any = data.draw(any_given(calculator))
    try:
        result = calculator.work(given_any)
    except CalculatorError as error:
        name = error.values.get("name")
        known = {field.name for field in fields(calculator.given)}
        assert name is None or name in known
        return
    assert all(isfinite(value) for _name, value in floats_of(result))


@given(st.integers(-300_000, 300_000), st.sampled_from(sorted(CALCULATORS)))
def test_volts_and_millivolts_agree(millivolts: int, name: str) -> None:
    """Every input in volts is the same typed either way."""
    calculator = CALCULATORS[name]
    plain = {one.name: one.default or "1" for one in calculator.inputs}
    for one in calculator.inputs:
        if one.unit == "V":
            small, large = f"{millivolts} mV", f"{millivolts / 1000:.3f} V"
            read = [
                fill(calculator, plain | {one.name: text}).values[one.name]
                for text in (small, large)
            ]
            assert read[0] == pytest.approx(read[1])
