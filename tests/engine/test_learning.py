"""What closed tickets teach: laws of the counts, and of what is usual.

Published: the Dirichlet's posterior mean, (a_i + n_i) / (sum a + n), Gelman et al.,
Bayesian Data Analysis, 3rd ed., 3.4; Laplace's rule of succession is its case of two
and even counts.
"""

from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import NO_FAULT, Fault
from diagnostics.engine.kernels import kernels
from diagnostics.engine.learning import (
    counted,
    counts_of,
    learned_priors,
    shop_share,
    usual_of,
)
from diagnostics.engine.weigh import Weighing
from tests.engine.made_up import OL, even, made, shares_of

FAULTS: tuple[Fault, ...] = (
    NO_FAULT,
    ("cap", "short"),
    ("cap", "leak"),
    ("fuse", "open"),
    ("chip", "dead"),
)
BLOCKS = ("in", "in", "in", "cpu")
PRIOR = np.array([0.1, 0.2, 0.1, 0.3, 0.3])
FINDINGS = st.lists(
    st.sampled_from([*FAULTS, ("cap", ""), ("nothing", "known")]), max_size=30
)


def learned(findings: list[tuple[str, str]]) -> Floats:
    return learned_priors(PRIOR, BLOCKS, counts_of(FAULTS, PRIOR, findings))


# --- faults ---------------------------------------------------------------------


@given(FINDINGS, st.randoms())
def test_they_add_up_and_the_order_of_tickets_does_not_matter(
    findings: list[tuple[str, str]], random: object
) -> None:
    found = learned(findings)
    assert found.sum() == pytest.approx(1)
    assert (found > 0).all()
    mixed = sorted(findings, key=lambda _one: random.random())  # type: ignore[attr-defined]
    assert learned(mixed) == pytest.approx(found)


def test_without_a_finding_the_family_stands() -> None:
    assert learned([]) == pytest.approx(PRIOR)
    assert learned([("nothing", "known")]) == pytest.approx(PRIOR)
    assert shop_share(0, 9) == 0


def test_one_finding_by_hand() -> None:
    """A fuse, after 20 boards' worth of the family in each of two blocks: none at
    all, 4 of 40 becomes 4 of 41; the block, 26 2/3 of 40 and one more; in it 10 of 20
    and one. Of that a little over half is believed: a 41st is the shop's own."""
    counts = counts_of(FAULTS, PRIOR, [("fuse", "open")])
    found = counted(PRIOR, BLOCKS, counts)
    assert found[0] == pytest.approx(4 / 41)
    block = (40 * 2 / 3 + 1) / 41
    assert found[3] == pytest.approx(37 / 41 * block * 11 / 21)
    assert found[4] == pytest.approx(37 / 41 * (1 - block))
    assert shop_share(1, 2) == pytest.approx(1 / 41)
    believed = 0.5 + 0.5 / 41
    expected = believed * found + (1 - believed) * PRIOR
    assert learned([("fuse", "open")]) == pytest.approx(expected)


def test_laplaces_rule_of_succession() -> None:
    """Two ways, two boards' worth: after s of n, (s + 1) / (n + 2)."""
    faults: tuple[Fault, ...] = (NO_FAULT, ("a", "x"), ("b", "y"))
    prior = np.array([0.5, 0.25, 0.25])
    counts = counts_of(faults, prior, [("a", "x")] * 5 + [("b", "y")] * 2)
    found = counted(prior, ("one", "one"), counts, strength=2.0)
    assert found[1] / found[1:].sum() == pytest.approx(6 / 9)


def test_many_findings_outweigh_the_family() -> None:
    found = learned([("chip", "dead")] * 2000 + [("", "")] * 1000)
    assert found[0] == pytest.approx(1 / 3, abs=0.01)
    assert found[4] == pytest.approx(2 / 3, abs=0.02)
    assert shop_share(3000, 2) > 0.98


def test_a_finding_without_its_way_is_shared_out_by_the_prior() -> None:
    counts = counts_of(FAULTS, PRIOR, [("cap", "")] * 3)
    assert counts == pytest.approx([0, 2, 1, 0, 0])
    never = np.array([0.7, 0.0, 0.0, 0.3, 0.0])
    assert counts_of(FAULTS, never, [("cap", "")]).sum() == 0


# --- usual readings ---------------------------------------------------------------

CLOUD = np.exp(np.linspace(log(300), log(3000), 16)).tolist()
VOLTS = np.linspace(3.25, 3.35, 16).tolist()
POINTS = {"rail": "R", "fuse": "C", "body": "D", "volts": "V", "amps": "I"}
KNOWN = kernels(
    made(
        POINTS,
        {
            "": {
                "rail": CLOUD,
                "fuse": 0.1,
                "body": [OL] * 10 + [0.45] * 6,
                "volts": VOLTS,
                "amps": np.linspace(0.2, 0.5, 16).tolist(),
            },
            "cap.leak": {"rail": 400.0},
            "chip.dead": {"volts": 0.0, "amps": 0.1},
        },
        16,
    )
)


def test_more_boards_narrow_what_is_usual_and_count_for_more() -> None:
    at = KNOWN.place["rail"]
    one = usual_of(KNOWN, {"rail": [1500.0]})[at]
    ten = usual_of(KNOWN, {"rail": [1450.0, 1550.0] * 5})[at]
    assert ten.width < one.width < float(KNOWN.centres[0, at].std())
    assert one.weight == pytest.approx(1 / 2)
    assert ten.weight == pytest.approx(10 / 11)
    assert ten.centre == pytest.approx(log(1500), abs=0.02)
    assert abs(one.centre - log(1500)) < abs(one.centre - log(949))


@pytest.mark.parametrize(
    ("point", "value"), [("fuse", 0.15), ("volts", 3.31), ("amps", 0.3)]
)
def test_every_kind_of_reading_has_its_scale(point: str, value: float) -> None:
    at = KNOWN.place[point]
    found = usual_of(KNOWN, {point: [value] * 3})[at]
    expected = log(value) if POINTS[point] in "RC" else value
    assert found.centre == pytest.approx(expected, abs=0.15 * abs(expected) + 0.01)
    assert 0 < found.width < 1


def test_in_diode_mode_a_point_that_reads_open_has_nothing_usual() -> None:
    assert usual_of(KNOWN, {"body": [0.46], "rail": []}) == {}
    closed = kernels(made({"body": "D"}, {"": {"body": 0.45}}))
    assert usual_of(closed, {"body": [0.46]})[0].centre == pytest.approx(
        0.455, abs=0.01
    )


def test_a_leak_shows_sooner_where_the_model_is_known() -> None:
    """400 ohm is well within the family, but this model reads 1500."""
    goods = {"rail": [1400.0, 1500.0, 1600.0, 1500.0, 1450.0]}
    before = even(3)
    alone = Weighing(KNOWN, before)
    lore = Weighing(KNOWN, before, usual=usual_of(KNOWN, goods))
    for one in (alone, lore):
        one.take("rail", 400.0)
    assert shares_of(lore)["cap.leak"] > shares_of(alone)["cap.leak"]
    assert shares_of(lore)["cap.leak"] > 0.9
