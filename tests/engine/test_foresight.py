"""From the outlook to the best first check, prices and changes of condition."""

import numpy as np
import pytest

from diagnostics.engine.asks import Asker
from diagnostics.engine.foresight import CHECKS, FAULTS, Prices, foreseen
from diagnostics.engine.kernels import kernels
from diagnostics.engine.weigh import Weighing
from tests.engine.made_up import OL, Rows, even, made, weighing

GOOD = {"rail": 1000.0, "fuse": 0.1, "volts": 3.3, "amps": 0.5}
POINTS = {"rail": "R", "fuse": "C", "volts": "V", "amps": "I"}
BOARD = made(
    POINTS,
    {
        "": GOOD,
        "cap.short": {"rail": 0.5, "volts": 0.0, "amps": 2.0},
        "fuse.open": {"fuse": OL, "volts": 0.0, "amps": 0.0},
        "chip.dead": {"volts": 0.0, "amps": 0.3},
    },
)
KNOWN = kernels(BOARD)
ASKER = Asker(KNOWN, lambda point: 1.0)
HOUR = Prices(lambda _part: 60.0)


def always(_point: str) -> bool:
    return True


def test_it_goes_on_until_naming_is_cheaper() -> None:
    one = weighing(KNOWN)
    stop, found = foreseen(ASKER.outlook(one, always), HOUR)
    assert stop == pytest.approx(42.0, abs=0.1)  # 0.3 for each of the three, 0.1
    assert found[0].minutes < 8
    one.take("amps", 0.001)
    one.take("fuse", None)
    one.take("volts", 0.0)
    stop, found = foreseen(ASKER.outlook(one, always), HOUR)
    assert stop < 1
    assert not found or found[0].minutes >= stop


def test_with_nothing_open_only_naming_is_left() -> None:
    stop, found = foreseen(ASKER.outlook(weighing(KNOWN), lambda _p: False), HOUR)
    assert stop == pytest.approx(42.0, abs=0.1)
    assert found == []


def test_a_wrong_name_that_costs_little_is_risked() -> None:
    cheap = Prices(lambda _part: 0.5)
    stop, found = foreseen(ASKER.outlook(weighing(KNOWN), always), cheap)
    assert found[0].minutes > stop


def test_going_to_another_condition_is_paid_for() -> None:
    """Power is dear to reach: what can be read cold is read first."""
    live = {"volts", "amps"}
    change = np.array([[0.0, 20.0], [20.0, 0.0]])
    prices = Prices(lambda _part: 60.0, lambda point: int(point in live), change)
    here = foreseen(ASKER.outlook(weighing(KNOWN), always), prices, 0)[1]
    there = foreseen(ASKER.outlook(weighing(KNOWN), always), prices, 1)[1]
    assert here[0].point not in live
    assert there[0].point in live


BOARDS = 48
LEVEL = 0.9 * (1 + np.random.default_rng(1).normal(0, 0.012, BOARDS))
HIGH, LOW = (1.012 * LEVEL).tolist(), (0.997 * LEVEL).tolist()
PAIR = ("phase_1", "phase_2")
PHASES = made(
    dict.fromkeys(PAIR, "V"),
    {
        "": dict.fromkeys(PAIR, LEVEL.tolist()),
        "first.open": {"phase_1": LOW, "phase_2": HIGH},
        "second.open": {"phase_1": HIGH, "phase_2": LOW},
    },
    BOARDS,
)


def test_twins_are_one_step_for_the_minutes_of_both() -> None:
    known = kernels(PHASES, frozenset(PAIR))
    one = weighing(known, np.array([0.0, 0.5, 0.5]))
    asker = Asker(known, lambda _point: 2.0, [PAIR])
    _stop, found = foreseen(asker.outlook(one, always), HOUR)
    assert found[0].point == "phase_1"
    assert 4 <= found[0].minutes < 12
    _stop, single = foreseen(asker.outlook(one, lambda p: p == "phase_1"), HOUR)
    assert single[0].minutes > found[0].minutes


def test_many_faults_and_checks_are_cut_to_the_likeliest() -> None:
    count = 2 * max(FAULTS, CHECKS)
    points = {f"p{n}": "V" for n in range(count)}
    good = dict.fromkeys(points, 3.3)
    faults: dict[str, Rows] = {"": good}
    faults |= {f"part{n}.dead": {f"p{n}": 0.0} for n in range(count)}
    known = kernels(made(points, faults, 2))
    asker = Asker(known, lambda point: 1.0 if point == "p7" else 2.0)
    before = even(count + 1)
    before[8] *= 2
    outlook = asker.outlook(Weighing(known, before / before.sum()), always)
    assert foreseen(outlook, HOUR)[1][0].point == "p7"
