"""What a check's answers go by, and which column a reading belongs to."""

import numpy as np
import pytest

from diagnostics.engine.circuit.answers import (
    RUNS,
    SILENT,
    SLIPS,
    answer_of_hertz,
    chances,
    frequency_rules,
)
from diagnostics.engine.circuit.parts import Answer, of_point, split
from diagnostics.engine.circuit.predict import point_of
from diagnostics.engine.verdicts import Yardstick
from tests.engine.circuit.family_boards import seen
from tests.engine.circuit.small_circuit import BOARDS, CLOUD, live

NAMES = ("first", "second", "third")
SLIP = SLIPS / 3


def shares(
    rules: tuple[Answer, ...], way: str = "", condition: str = "B"
) -> list[float]:
    found = chances(live(way, condition), rules, NAMES)
    assert found.sum(axis=0) == pytest.approx(np.ones(BOARDS))
    return [float(one) for one in found.mean(axis=1)]


def sure(*which: float) -> object:
    return pytest.approx([(1 - SLIPS) * one + SLIP for one in which])


def test_the_first_rule_that_fits_is_answered_and_the_last_is_the_rest() -> None:
    rules = (
        Answer("first", up=("core",)),
        Answer("second", up=("ldo",)),
        Answer("third"),
    )
    assert shares(rules) == sure(1, 0, 0)
    assert shares(rules, "core dead") == sure(0, 1, 0)
    assert shares(rules, "adapter dead") == sure(0, 0, 1)
    assert shares(rules[:2], "adapter dead") == sure(0, 1, 0)


def test_a_share_of_the_boards_leaves_the_others_to_the_next() -> None:
    rules = (
        Answer("first", up=("core", "ldo"), share=0.4),
        Answer("second", up=("core",), share=0.5),
        Answer("third"),
    )
    assert shares(rules) == sure(0.4, 0.3, 0.3)


def test_one_answer_may_have_several_rules() -> None:
    rules = (
        Answer("first", up=("run",)),
        Answer("third", up=("ldo",)),
        Answer("first"),
    )
    assert shares(rules, "adapter dead") == sure(1, 0, 0)


def test_low_is_under_0_8_v() -> None:
    rules = (Answer("first", low=("ldo",)), Answer("second"))
    assert shares(rules) == sure(0, 1, 0)
    assert shares(rules, "ldo dead") == sure(1, 0, 0)


@pytest.mark.parametrize(
    ("feeds", "way", "expected"),
    [
        (("any",), "core shorted", 1.0),
        (("core",), "core shorted", 1.0),
        (("adapter",), "core shorted", 0.0),
        (("any",), "", 0.0),
    ],
)
def test_what_tries_again(feeds: tuple[str, ...], way: str, expected: float) -> None:
    """1 V into 0.05 ohm would be 20 A of 8."""
    rules = (Answer("first", retries=feeds), Answer("second"))
    assert shares(rules, way) == sure(expected, 1 - expected, 0)


def test_at_its_limit_is_a_supply_that_holds_it() -> None:
    """The half of the boards that don't hiccup into a short at the jack."""
    rules = (Answer("first", at_limit=True), Answer("second"))
    held = float((CLOUD.coins["latch"] >= 0.5).mean())
    assert shares(rules, "jack shorted") == sure(held, 1 - held, 0)
    assert shares(rules) == sure(0, 1, 0)


def test_a_frequency_runs_or_is_silent() -> None:
    rules = frequency_rules("clock")
    for way, expected in (("", 1.0), ("clock dead", 0.0)):
        found = chances(live(way), rules, (RUNS, SILENT))
        runs = (1 - SLIPS) * expected + SLIPS / 2
        assert found[0] == pytest.approx(np.full(BOARDS, runs))


@pytest.mark.parametrize(
    ("hertz", "answer"),
    [(0.0, SILENT), (50.0, SILENT), (32768.0, RUNS), (31000.0, RUNS)],
)
def test_a_frequency_as_it_was_read(hertz: float, answer: str) -> None:
    crystal = Yardstick("Hz", limit_low=32766.36, limit_high=32769.64)
    assert answer_of_hertz(hertz, crystal) == answer
    assert answer_of_hertz(hertz, Yardstick("Hz", usual_low=200.0)) == (
        SILENT if hertz < 60 else RUNS
    )


# --- names ------------


def test_a_fault_in_three() -> None:
    assert split(("p.trace", "open@ec.33")) == ("p.trace", "open", "ec.33")
    assert split(("p.fuse", "open")) == ("p.fuse", "open", "")


def test_what_is_said_of_a_point_of_its_number_and_of_its_check() -> None:
    among = {"k18/cpu.phase": 1, "k18/cpu.phase2": 2, "k51": 3}
    assert of_point(among, "k18/cpu.phase2") == 2
    assert of_point(among, "k18/cpu.phase12") == 1
    assert of_point(among, "k51/supply") == 3
    assert of_point(among, "k50/supply") is None


def test_the_point_of_a_column() -> None:
    assert point_of("k17/cpu.core+cpu") == "k17/cpu.core"
    assert point_of("k17/cpu.core") == "k17/cpu.core"


# --- what was in the board ------------


@pytest.mark.parametrize(
    ("family", "point", "fitted", "label"),
    [
        ("desktop_atx", "k17/cpu.core", "", "k17/cpu.core"),
        ("desktop_atx", "k17/cpu.core", "cpu", "k17/cpu.core+cpu"),
        ("desktop_atx", "k18/cpu.phase2", "cpu coin_cell", "k18/cpu.phase2+cpu"),
        ("desktop_atx", "k17/cpu.core", "cpu adapter", None),
        ("desktop_atx", "k48/cpu.core", "", None),
        ("desktop_atx", "k48/cpu.core", "cpu modules", "k48/cpu.core"),
        ("desktop_atx", "k44/atx.12", "", "k44/atx.12"),
        ("laptop_barrel", "k14/mem.q", "", "k14/mem.q"),
        ("laptop_barrel", "k14/mem.q", "modules", None),
        ("laptop_barrel", "k06/main", "pack", None),
        ("laptop_barrel", "k27/main", "adapter", "k27/main"),
        ("laptop_barrel", "k27/main", "adapter pack", None),
        ("laptop_barrel", "k62/feed", "", None),
        ("laptop_barrel", "k64/board", "", None),
    ],
)
def test_the_column_of_a_reading(
    family: str, point: str, fitted: str, label: str | None
) -> None:
    found = seen(family).found
    column = found.column(point, fitted.split())
    assert (None if column is None else found.points[column]) == label


def test_answers_are_no_evidence_with_the_pack_in() -> None:
    found = seen("laptop_barrel").found
    assert found.chances("k64/board") is found.answers["k64/board"]
    assert found.chances("k64/board", ["pack"]) is None
    assert found.chances("k01/top") is None


def test_with_the_cpu_in_its_core_reads_by_its_own_bands() -> None:
    """Brief, 2c: CPU out 50 ohms and more, in 1 ohm and more."""
    of = seen("desktop_atx")
    good = of.found.faults[0]
    assert (of.values(good, "k17/cpu.core") > 50).all()
    inside = of.values(good, "k17/cpu.core+cpu")
    assert ((inside > 1.0) & (inside < 20.0)).all()
