"""Draws of virtual boards: within their spans, alike for every fault, repeatable."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine.circuit.cloud import (
    BRIDGE,
    FULL_SCALE_VOLTS,
    LEADS,
    NET_LEAK,
    SHARE_OF_LOAD,
    SHORT,
    Cloud,
)
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import (
    NO_FAULT,
    Change,
    Circuit,
    Feed,
    Junction,
    Link,
    Load,
    Span,
)

SPAN = st.tuples(st.floats(1e-2, 1e3), st.floats(1.0, 1e3)).map(
    lambda pair: (pair[0], pair[0] * pair[1])
)
FAULT = ("p", "shorted")


def circuit(
    ohms: Span = (100.0, 1e4), changes: tuple[Change, ...] = (Change("short", "rail"),)
) -> Circuit:
    return Circuit(
        loads=(Load("rail", ohms, drop=(0.3, 0.6), amps=(0.1, 0.2)),),
        links=(Link("coil", ("phase", "rail"), ohms),),
        junctions=(Junction("body", "phase", "main", (0.3, 0.6)),),
        feeds=(Feed("buck", "buck", "rail", "main", volts=1.0, phases=("phase",)),),
        faults={NO_FAULT: (), FAULT: changes},
        hold_leads=True,
    )


def within(values: Floats, span: Span) -> bool:
    slack = 1e-9 * span[1]
    return bool((values >= span[0] - slack).all() and (values <= span[1] + slack).all())


@given(SPAN, st.integers(0, 2**32))
def test_every_draw_lies_in_its_span(span: Span, seed: int) -> None:
    cloud = Cloud(circuit(span), 16, seed)
    assert within(cloud.load_ohms["rail"], span)
    assert within(cloud.link_ohms["coil"], span)
    assert within(cloud.load_drops["rail"], (0.3, 0.6))
    assert within(cloud.drops["body"], (0.3, 0.6))
    assert within(cloud.amps["rail"], (0.1, 0.2))
    assert within(cloud.leads, LEADS)
    assert within(cloud.full_scale, FULL_SCALE_VOLTS)
    assert within(cloud.bridges, BRIDGE)
    for net in ("rail", "phase", "main"):
        assert within(cloud.net_leaks[net], NET_LEAK)
    for coin in cloud.coins.values():
        assert within(coin, (0.0, 1.0))


def test_the_same_seed_draws_the_same_boards_and_another_others() -> None:
    one, same, other = (Cloud(circuit(), 32, seed) for seed in (7, 7, 8))
    assert np.array_equal(one.load_ohms["rail"], same.load_ohms["rail"])
    assert np.array_equal(one.fault_ohms[FAULT], same.fault_ohms[FAULT])
    assert np.array_equal(one.coins["latch"], same.coins["latch"])
    assert not np.array_equal(one.load_ohms["rail"], other.load_ohms["rail"])


def test_a_fault_more_leaves_every_board_as_it_was() -> None:
    """The same draws serve every fault: faults differ by what they change."""
    plain = circuit()
    more = dataclasses.replace(
        plain, faults={**plain.faults, ("q", "leaks"): (Change("leak", "main"),)}
    )
    one, other = Cloud(plain, 32), Cloud(more, 32)
    assert np.array_equal(one.load_ohms["rail"], other.load_ohms["rail"])
    assert np.array_equal(one.drops["body"], other.drops["body"])
    assert np.array_equal(one.fault_ohms[FAULT], other.fault_ohms[FAULT])


def test_ohms_are_even_on_their_logarithm() -> None:
    """Between 10 and 100 k half of the boards lie under 1 k, not one in a hundred."""
    drawn = Cloud(circuit((10.0, 1e5)), 4000).load_ohms["rail"]
    assert np.mean(drawn < 1e3) == pytest.approx(0.5, abs=0.03)
    assert np.median(np.log10(drawn)) == pytest.approx(3.0, abs=0.1)


def test_the_drops_of_one_board_go_together() -> None:
    cloud = Cloud(circuit(), 4000)
    found = np.corrcoef(cloud.load_drops["rail"], cloud.drops["body"])[0, 1]
    # 0.7 shared, 0.3 own: 0.49 / (0.49 + 0.09) of the variance is shared.
    assert found == pytest.approx(0.845, abs=0.02)


def test_levels_spread_as_the_feed_says() -> None:
    level = Cloud(circuit(), 4000).level["rail"]
    assert level.mean() == pytest.approx(1.0, abs=1e-3)
    assert level.std() == pytest.approx(0.012, rel=0.05)


@pytest.mark.parametrize(
    ("changes", "load", "expected"),
    [
        ((Change("leak", "rail", ohms=(30.0, 40.0)),), 1e3, (30.0, 40.0)),
        ((Change("dead", "buck"), Change("short", "rail")), 1e3, SHORT),
        ((Change("short", "rail"),), 10.0, (0.02, SHARE_OF_LOAD * 10)),
        ((Change("short", "rail"),), 1.0, (0.12 / 20, 0.12)),
        ((Change("short", "main"),), 10.0, SHORT),
        ((Change("dead", "buck"),), 10.0, SHORT),
    ],
)
def test_a_short_is_well_under_the_load_that_it_lies_on(
    changes: tuple[Change, ...], load: float, expected: Span
) -> None:
    cloud = Cloud(circuit((load, 2 * load), changes), 200)
    found = cloud.fault_ohms[FAULT]
    assert within(found, expected)
    assert np.log(found).std() > 0.2 * np.log(expected[1] / expected[0])
