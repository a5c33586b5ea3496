"""Readings to probabilities: laws, hand-made cases, and published networks.

The published values are in the project's list of check values (4.14, 4.27), the
rest is the definition at the top of weigh.py, enumerated in plain Python.
"""

from collections.abc import Mapping
from itertools import permutations
from math import exp, fsum, log, prod
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine import weigh
from diagnostics.engine.circuit.predict import Predictions
from diagnostics.engine.kernels import Kernels, kernels, scaled
from diagnostics.engine.weigh import Weighing
from tests.engine.made_up import OL, even, made, shares_of, weighing

Reading = tuple[str, float | None]

POINTS = {"rail": "R", "fuse": "C", "body": "D", "volts": "V", "amps": "I"}
GOOD = {"rail": 1000.0, "fuse": 0.1, "body": 0.45, "volts": 3.3, "amps": 0.5}
FAULTS = {
    "": GOOD,
    "cap.short": {"rail": 0.5, "volts": 0.0, "amps": 2.0},
    "fuse.open": {"fuse": OL, "volts": 0.0, "amps": 0.0},
    "chip.dead": {"volts": 0.0},
    "chip.low": {"volts": 2.0},
    "body.open": {"body": OL},
}
BOARD = made(POINTS, FAULTS)

VALUES = {
    "rail": st.floats(0.0, 1e7),
    "fuse": st.floats(0.0, 1e7),
    "body": st.floats(0.0, 2.0),
    "volts": st.floats(0.0, 25.0),
    "amps": st.floats(0.0, 5.0),
}


def reading() -> st.SearchStrategy[Reading]:
    def of(point: str) -> st.SearchStrategy[Reading]:
        cold = POINTS[point] in "RCD"
        value = VALUES[point] | st.none() if cold else VALUES[point]
        return st.tuples(st.just(point), value)

    return st.sampled_from(sorted(POINTS)).flatmap(of)


READINGS = st.lists(reading(), max_size=6)


def after(
    readings: list[Reading] | tuple[Reading, ...], predictions: Predictions = BOARD
) -> Weighing:
    one = weighing(predictions)
    for point, value in readings:
        one.take(point, value)
    return one


# --- laws ----------------------------------------------------------------------


@given(READINGS)
def test_whatever_is_read_probabilities_add_up_to_one(readings: list[Reading]) -> None:
    shares, other, boards = after(readings).posterior()
    assert (shares >= 0).all()
    assert 0.01 <= other <= 1
    assert shares.sum() + other == pytest.approx(1)
    assert boards.sum(axis=1) == pytest.approx(np.ones(len(shares)))


@given(READINGS, st.randoms())
def test_the_order_of_readings_does_not_matter(
    readings: list[Reading], random: Random
) -> None:
    mixed = list(readings)
    random.shuffle(mixed)
    one, other = shares_of(after(readings)), shares_of(after(mixed))
    assert one == pytest.approx(other, abs=1e-9)


@given(READINGS, st.floats(0.0, 20.0))
def test_a_check_that_no_fault_touches_leaves_the_ranking_alone(
    readings: list[Reading], value: float
) -> None:
    more = made({**POINTS, "spare": "V"}, {**FAULTS, "": {**GOOD, "spare": 5.0}})
    without = after(readings, more).posterior()[0]
    shares = after([*readings, ("spare", value)], more).posterior()[0]
    assert shares / shares.sum() == pytest.approx(without / without.sum(), abs=1e-9)


@given(READINGS)
def test_nothing_is_ever_certain(readings: list[Reading]) -> None:
    shares, _other, _boards = after(readings).posterior()
    assert shares.max() <= weigh.CERTAINTY


# --- what readings mean ------------------------------------------------------------


def test_without_a_reading_the_priors_stand() -> None:
    """But for certainty and for something else, which begins at 2 of 102."""
    shares, other, boards = weighing(BOARD).posterior()
    assert shares == pytest.approx(0.99 / 1.02 * even(6))
    assert other == pytest.approx(0.01 + 0.99 * 0.02 / 1.02)
    assert boards == pytest.approx(np.full((6, 8), 1 / 8))


@pytest.mark.parametrize(
    ("readings", "named"),
    [
        ([("rail", 0.5), ("volts", 0.0)], "cap.short"),
        ([("rail", 980.0), ("fuse", None), ("amps", 0.0)], "fuse.open"),
        ([("rail", 1010.0), ("fuse", 0.1), ("volts", 0.0), ("amps", 0.5)], "chip.dead"),
        ([("volts", 2.01)], "chip.low"),
        ([("body", None), ("volts", 3.31), ("amps", 0.49)], "body.open"),
        (list(GOOD.items()), ""),
    ],
)
def test_readings_of_a_fault_name_it(readings: list[Reading], named: str) -> None:
    shares = shares_of(after(readings))
    assert max(shares, key=lambda name: shares[name]) == named
    assert shares[named] > 0.8


def test_what_was_read_is_kept() -> None:
    one = after([("rail", 0.5), ("fuse", None)])
    assert one.read == ("rail", "fuse")


def test_a_missed_contact_cannot_settle_it() -> None:
    """OL may be a probe that slipped; a second check of another kind settles."""
    ways = {f"part{n}.x": {"volts": 1.0 + 0.2 * n} for n in range(9)}
    board = made(
        {**POINTS}, {"": GOOD, "fuse.open": {"fuse": OL, "volts": 0.0}, **ways}
    )
    once = shares_of(after([("fuse", None)], board))
    assert max(once, key=lambda name: once[name]) == "fuse.open"
    assert once["fuse.open"] < 0.9
    twice = shares_of(after([("fuse", None), ("volts", 0.0)], board))
    assert twice["fuse.open"] > 0.9


@pytest.mark.parametrize("point", ["volts", "amps"])
def test_nought_under_power_may_be_a_probe_that_slipped(point: str) -> None:
    """About 0 V tells less than 0.3 V does, where 0.3 V is as far from good."""
    board = made(POINTS, {"": GOOD, "a.dead": {point: 0.0}, "b.low": {point: 0.3}})
    nought = shares_of(after([(point, 0.0)], board))
    low = shares_of(after([(point, 0.3)], board))
    assert nought[""] > 5 * low[""]


@pytest.mark.parametrize(
    "readings",
    [
        [("rail", 0.5), ("rail", 1000.0)],
        [("volts", 3.3), ("volts", 2.0)],
        [("rail", 0.5), ("fuse", None), ("body", None)],
        [("rail", 0.5), ("volts", 3.3), ("amps", 0.5)],
    ],
)
def test_readings_that_contradict_each_other_end_in_no_confident_name(
    readings: list[Reading],
) -> None:
    for order in permutations(readings):
        shares = shares_of(after(order))
        faults = {name: p for name, p in shares.items() if name != "else"}
        assert max(faults.values()) < 0.9


def test_what_nothing_explains_ends_in_something_else() -> None:
    shares = shares_of(after([("volts", 11.0), ("amps", 4.4), ("body", 1.1)]))
    assert shares["else"] > 0.9
    assert max(shares, key=lambda name: shares[name]) == "else"


def test_a_reading_that_a_fault_leaves_alone_is_pooled_over_good_boards() -> None:
    """Which virtual board happens to read like this one says nothing of a fault."""
    lucky = np.linspace(500, 2000, 8).tolist()
    board = made(
        {"rail": "R", "volts": "V"},
        {"": {"rail": lucky, "volts": 3.3}, "a.dead": {"volts": 0.0}},
    )
    one = after([("rail", 500.0)], board)
    shares, _other, boards = one.posterior()
    assert shares / shares.sum() == pytest.approx([0.1, 0.9])
    assert boards == pytest.approx(np.full((2, 8), 1 / 8))


def test_when_few_boards_are_left_a_little_of_all_is_mixed_in() -> None:
    """One board of 32 explains it: 0.15 of (8 - 1) / 8 goes evenly over all."""
    volts = [0.5 * n for n in range(1, 33)]
    board = made({"rail": "V"}, {"": {"rail": 30.0}, "chip.low": {"rail": volts}}, 32)
    boards = after([("rail", volts[20])], board).posterior()[2][1]
    mixed = 0.15 * 7 / 8
    assert boards[20] == pytest.approx(1 - mixed * 31 / 32, abs=1e-3)
    assert boards[3] == pytest.approx(mixed / 32, abs=1e-4)


def test_with_no_missed_contacts_at_all_it_still_reckons() -> None:
    """A shop may say so; nothing divides by nought or takes its logarithm."""
    one = weighing(BOARD, missed=0.0)
    for point, value in [("fuse", 3.0), ("body", None), ("volts", 24.0)]:
        one.take(point, value)
    shares, other, _boards = one.posterior()
    assert np.isfinite(shares).all()
    assert shares.sum() + other == pytest.approx(1)


# --- kernels -----------------------------------------------------------------------


def test_ohms_are_weighed_on_their_logarithm_and_never_below_the_leads() -> None:
    known = kernels(BOARD)
    at = known.place["rail"]
    assert known.centres[0, at] == pytest.approx(np.full(8, log(1000.0)))
    assert scaled("R", np.array([0.0])) == pytest.approx([log(0.05)])
    assert scaled("V", np.array([0.0])) == pytest.approx([0.0])


def test_widths_are_the_meters_the_leads_and_the_families() -> None:
    """By hand, from the constants that weigh.py states."""
    known = kernels(BOARD)
    rail = known.widths[1, known.place["rail"], 0]
    assert rail == pytest.approx((0.012**2 + log(1 + 0.12 / 0.5) ** 2 + 0.25**2) ** 0.5)
    volts = known.widths[4, known.place["volts"], 0]
    assert volts == pytest.approx(
        (0.002**2 + (0.0015 * 2) ** 2 + (0.25 * 0.012 * 2) ** 2) ** 0.5
    )
    assert known.widths[1, known.place["volts"], 0] > 0.015


def test_a_wide_design_makes_a_wide_kernel_where_the_fault_leaves_it_alone() -> None:
    narrow = made(
        {"rail": "R", "volts": "V"}, {"": {"rail": 100.0, "volts": [1.0] * 8}}
    )
    spread = np.linspace(0.9, 1.1, 8)
    wide = made(
        {"rail": "R", "volts": "V"},
        {"": {"rail": (100 * spread).tolist(), "volts": spread.tolist()}},
    )
    assert (kernels(wide).widths > kernels(narrow).widths).all()
    twins = kernels(wide, frozenset({"volts"}))
    at = twins.place["volts"]
    assert (twins.widths[0, at] < kernels(wide).widths[0, at]).all()
    assert twins.touched[:, at].all()


def test_a_point_that_is_ol_on_every_good_board_has_no_spread() -> None:
    known = kernels(made({"body": "D"}, {"": {"body": OL}, "a.short": {"body": 0.0}}))
    assert known.is_ol[0].all()
    one = weighing(known)
    one.take("body", 0.001)
    assert shares_of(one)["a.short"] > 0.9


# --- the definition, enumerated ----------------------------------------------------


def enumerated(
    known: Kernels, readings: list[Reading], priors: list[float]
) -> list[float]:
    """The mixture of the module's docstring, board by board, in plain Python."""
    missed = 0.02

    def density(h: int, point: str, k: int, value: float | None) -> float:
        at = known.place[point]
        mode = known.predictions.modes[at]
        is_ol = bool(known.is_ol[h, at, k])
        if value is None:
            return (1 - missed) * (1.0 if is_ol else 1e-4) + missed * 0.9
        if mode in "RCD":
            slip = 0.02
        else:
            high, rest = {"V": (27.0, 0.01), "I": (5.0, 0.05)}[mode]
            slip = high * exp(-0.5 * (value / 0.01) ** 2) + rest
        shown = log(max(value, 0.05)) if mode in "RC" else value
        width = float(known.widths[h, at, k])
        off = (shown - float(known.centres[h, at, k])) / width
        kernel = 0.0 if is_ol else 0.39 * (1 + off**2 / 10) ** -5.5 / width
        return (1 - missed) * kernel + missed * slip

    count, boards = len(priors), known.predictions.means.shape[2]
    scores = []
    for h in range(count):
        products = []
        for k in range(boards):
            factors = []
            for point, value in readings:
                is_touched = bool(known.touched[h, known.place[point], k])
                good = [density(0, point, j, value) for j in range(boards)]
                pooled = fsum(good) / boards
                factors.append(density(h, point, k, value) if is_touched else pooled)
            products.append(prod(factors))
        scores.append(priors[h] * fsum(products) / boards)
    flat = {"R": 1 / 16, "C": 1 / 16, "D": 0.5, "V": 0.06, "I": 0.25}
    other = 0.02
    for point, value in readings:
        mode = known.predictions.modes[known.place[point]]
        if value is None:
            other *= 0.98 * 0.2 + 0.02 * 0.9
        elif mode in "RCD":
            other *= 0.98 * flat[mode] + 0.02 * 0.02
        else:
            high, rest = {"V": (27.0, 0.01), "I": (5.0, 0.05)}[mode]
            slip = high * exp(-0.5 * (value / 0.01) ** 2) + rest
            other *= 0.98 * flat[mode] + 0.02 * slip
    whole = fsum([*scores, other])
    return [0.99 * score / whole for score in scores] + [0.99 * other / whole + 0.01]


MIXED = made(
    POINTS,
    {
        "": {
            "rail": [800.0, 1000.0, 1500.0, 2000.0],
            "fuse": [0.1, 0.2, 0.15, 0.3],
            "body": [0.44, 0.46, OL, 0.45],
            "volts": [3.3, 3.31, 3.28, 3.35],
            "amps": [0.4, 0.5, 0.6, 0.7],
        },
        "cap.short": {"rail": [0.3, 1.0, 4.0, 9.0], "volts": 0.0},
        "fuse.open": {"fuse": [OL, OL, OL, 0.3], "volts": [0.0, 0.0, 0.0, 3.35]},
        "chip.low": {"volts": [1.0, 2.0, 3.0, 3.35], "amps": [0.2, 0.3, 0.6, 0.7]},
    },
    boards=4,
)


@given(READINGS)
def test_the_posterior_is_the_mixture_enumerated(readings: list[Reading]) -> None:
    known, priors = kernels(MIXED), [0.1, 0.2, 0.3, 0.4]
    one = Weighing(known, np.array(priors))
    for point, value in readings:
        one.take(point, value)
    shares, other, _boards = one.posterior()
    expected = enumerated(known, readings, priors)
    assert [*shares.tolist(), other] == pytest.approx(expected, abs=1e-9)


# --- published networks ------------------------------------------------------------


def outcomes(counts: Mapping[Any, int]) -> list[list[float]]:
    """By point, a board for each count: OL where it is true, 1 ohm where not."""
    rows = [row for row, count in counts.items() for _one in range(count)]
    return [
        [OL if is_true else 1.0 for is_true in column]
        for column in zip(*rows, strict=True)
    ]


def test_screening() -> None:
    """4.27: prevalence 0.01, sensitivity 0.8, false positives 0.096 make 0.0776398
    (Gigerenzer & Hoffrage 1995, after Eddy 1982)."""
    (well,) = outcomes({(True,): 96, (False,): 904})
    (ill,) = outcomes({(True,): 800, (False,): 200})
    board = made({"test": "R"}, {"": {"test": well}, "ill.": {"test": ill}}, 1000)
    one = weighing(kernels(board, frozenset({"test"})), np.array([0.99, 0.01]), 0.0)
    one.take("test", None)
    shares, _other, _boards = one.posterior()
    assert shares[1] / shares.sum() == pytest.approx(0.0776398, abs=1e-4)


def test_burglary_where_two_readings_hang_on_one_board() -> None:
    """4.14: P(burglary given both calls) is 0.284172 (Russell & Norvig, chapter 14).
    The calls are not independent given the burglary: both hang on the alarm, as
    all readings of one board hang on its design. Multiplied one by one they would
    make it 0.48."""
    counts = {}
    for burglary, alarm in ((False, 0.001578), (True, 0.94002)):
        joint = {
            (john, mary): fsum(
                p * (j if john else 1 - j) * (m if mary else 1 - m)
                for p, j, m in ((alarm, 0.90, 0.70), (1 - alarm, 0.05, 0.01))
            )
            for john in (True, False)
            for mary in (True, False)
        }
        counts[burglary] = {both: round(40_000 * p) for both, p in joint.items()}
        counts[burglary][False, False] += 40_000 - sum(counts[burglary].values())
    rows = {
        b: dict(zip(("john", "mary"), outcomes(c), strict=True))
        for b, c in counts.items()
    }
    board = made(
        {"john": "R", "mary": "R"}, {"": rows[False], "burglary.": rows[True]}, 40_000
    )
    one = weighing(
        kernels(board, frozenset({"john", "mary"})), np.array([0.999, 0.001]), 0.0
    )
    one.take("john", None)
    one.take("mary", None)
    shares, _other, _boards = one.posterior()
    assert shares[1] / shares.sum() == pytest.approx(0.284172, abs=2e-3)
