"""Hunting a short by drop: the brief's case, and every limit of injection."""

from typing import Any

import pytest

from diagnostics.engine.calculators.injection import Injected, Injection, inject
from diagnostics.engine.calculators.injection_limits import (
    check_limits,
    most_amperes,
    most_volts,
)
from diagnostics.engine.calculators.shape import CalculatorError

CASE_A = (0.447, 0.441, 0.434, 0.429, 0.431)


def step(**changed: Any) -> Injection:
    """Case A of the brief: 2 A into 0.21 ohm of main at 1.0 V, all taken out."""
    given: dict[str, Any] = {
        "nominal_volts": 19.0,
        "set_volts": 1.0,
        "set_amperes": 2.0,
        "ohms": 0.21,
        "last_amperes": 1.5,
        "is_main": True,
        "high_side": "passed",
        "is_pack_out": True,
        "is_adapter_out": True,
        "are_modules_out": True,
    }
    return Injection(**given | changed)


def codes(found: Injected) -> list[str]:
    return [one.code for one in found.reasons]


def refused(**changed: Any) -> tuple[str, object]:
    with pytest.raises(CalculatorError) as error:
        inject(step(**changed))
    return error.value.code, error.value.values.get("name")


def test_case_a_of_the_brief() -> None:
    """0.42 V, 0.84 W; 447, 441, 434, 429, 431 mV: the fourth."""
    found = inject(step(points=CASE_A, names=("", "", "", "C-a", "C-b")))
    assert found.drop_volts == pytest.approx(0.42)
    assert found.watts == pytest.approx(0.84)
    assert found.lowest is not None
    assert (found.lowest.number, found.lowest.name) == (4, "C-a")
    assert found.lowest_volts == 0.429
    assert found.gradient_volts == pytest.approx(0.018)
    assert codes(found) == ["rail_lowest", "ground_side_next"]


def test_the_second_pass_is_on_the_ground_side() -> None:
    found = inject(step(points=CASE_A, ground_points=(0.440, 0.436, 0.430)))
    assert found.ground is not None
    assert found.ground.number == 3
    assert codes(found) == ["rail_lowest", "ground_lowest"]


def test_without_points_the_limits_stand_and_the_heat() -> None:
    found = inject(step(last_amperes=None, set_amperes=0.5))
    assert (found.most_volts, found.most_amperes) == (1.0, 0.5)
    assert found.watts == pytest.approx(0.0525)
    assert (found.lowest, found.lowest_volts, found.gradient_volts) == (None,) * 3
    assert codes(found) == ["read_the_points"]


def test_one_point_tells_nothing() -> None:
    assert codes(inject(step(points=(0.4,)))) == ["one_point_tells_nothing"]


@pytest.mark.parametrize(
    ("points", "code", "is_clear"),
    [
        ((0.432, 0.431, 0.430), "gradient_too_small", False),
        ((0.433, 0.431, 0.430), "rail_lowest", True),
        ((0.440, 0.430, 0.430), "lowest_is_tied", False),
        ((0.440, 0.4305, 0.430), "lowest_is_tied", False),
        ((0.43, 0.43), "gradient_too_small", False),
    ],
)
def test_three_digits_of_gradient_or_it_is_unclear(
    points: tuple[float, ...], code: str, is_clear: bool
) -> None:
    found = inject(step(points=points))
    assert codes(found)[0] == code
    assert (found.lowest_volts is not None) is is_clear


def test_a_finer_meter_settles_a_small_gradient() -> None:
    found = inject(step(points=(0.432, 0.431, 0.430), resolution_volts=0.0001))
    assert found.lowest_volts == 0.430


def test_the_supply_holds_its_volts_into_more_ohms() -> None:
    found = inject(step(ohms=2.0))
    assert (found.amperes, found.drop_volts, found.watts) == (0.5, 1.0, 0.5)
    assert codes(found)[0] == "volts_reached_first"


def test_the_copper_from_feed_to_short() -> None:
    """0.5 mohm a square: ten squares at 2 A are 10 mV."""
    assert inject(step()).copper_volts is None
    assert inject(step(squares=10.0)).copper_volts == pytest.approx(0.010, abs=2e-4)


def test_a_dead_short_is_reckoned_too() -> None:
    found = inject(step(ohms=0.0))
    assert (found.amperes, found.watts) == (2.0, 0.0)


# --- limits ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("nominal", "last", "limit"),
    [(19.0, None, 1.0), (1.05, None, 0.945), (19.0, 0.5, 17.1), (1.05, 0.5, 0.945)],
)
def test_volts_at_first_and_later(
    nominal: float, last: float | None, limit: float
) -> None:
    assert most_volts(nominal, last) == pytest.approx(limit)
    assert most_volts(nominal, last) < nominal


@pytest.mark.parametrize(
    ("kind", "last", "limit"),
    [
        ("thin", None, 0.5),
        ("thin", 0.5, 1.0),
        ("thin", 2.5, 3.0),
        ("thin", 3.0, 3.0),
        ("core", 3.0, 3.5),
        ("core", 5.0, 5.0),
    ],
)
def test_amperes_step_by_step_to_the_ceiling(
    kind: str, last: float | None, limit: float
) -> None:
    assert most_amperes(kind, last) == limit


@pytest.mark.parametrize(
    ("changed", "code", "name"),
    [
        ({"high_side": "bad"}, "high_side_shorted", "is_main"),
        ({"high_side": "open"}, "high_side_open", "is_main"),
        ({"is_pack_out": False}, "must_be_out", "is_pack_out"),
        ({"is_adapter_out": False}, "must_be_out", "is_adapter_out"),
        ({"are_modules_out": False}, "must_be_out", "are_modules_out"),
        ({"set_volts": 17.2}, "volts_over_limit", "set_volts"),
        ({"set_volts": 19.5}, "volts_over_limit", "set_volts"),
        (
            {"set_volts": 1.01, "last_amperes": None, "set_amperes": 0.5},
            "volts_over_limit",
            "set_volts",
        ),
        ({"nominal_volts": 1.05, "set_volts": 1.0}, "volts_over_limit", "set_volts"),
        ({"set_amperes": 2.1}, "amperes_over_limit", "set_amperes"),
        ({"last_amperes": None}, "amperes_over_limit", "set_amperes"),
        (
            {"last_amperes": 3.0, "set_amperes": 3.5},
            "amperes_over_limit",
            "set_amperes",
        ),
        ({"seconds": 31.0}, "must_be_at_most", "seconds"),
        ({"seconds": 0.0}, "must_be_positive", "seconds"),
        ({"set_volts": -1.0}, "must_be_positive", "set_volts"),
        ({"last_amperes": -1.0}, "must_be_positive", "last_amperes"),
        ({"board_kind": "thick"}, "unknown_board_kind", "board_kind"),
        ({"ohms": -0.1}, "must_not_be_negative", "ohms"),
        ({"squares": -1.0}, "must_not_be_negative", "squares"),
        ({"resolution_volts": 0.0}, "must_be_positive", "resolution_volts"),
        ({"points": (447.0, 441.0)}, "drop_over_supply", "points"),
        ({"ground_points": (447.0,)}, "drop_over_supply", "ground_points"),
    ],
)
def test_no_step_goes_beyond_a_limit(
    changed: dict[str, Any], code: str, name: str
) -> None:
    assert refused(**changed) == (code, name)


@pytest.mark.parametrize("high_side", ["bad", "open"])
def test_high_sides_hold_only_main_off(high_side: str) -> None:
    assert inject(step(is_main=False, high_side=high_side)).amperes == 2.0


def test_five_amperes_into_a_core_plane() -> None:
    found = inject(
        step(board_kind="core", last_amperes=4.5, set_amperes=5.0, ohms=0.02)
    )
    assert found.watts == pytest.approx(0.5)


def test_the_first_limit_that_is_broken_is_named_alone() -> None:
    with pytest.raises(CalculatorError) as error:
        check_limits(
            nominal_volts=1.0,
            set_volts=5.0,
            set_amperes=9.0,
            last_amperes=None,
            seconds=99.0,
            board_kind="thin",
            is_main=True,
            high_side="bad",
            out={},
        )
    assert error.value.code == "high_side_shorted"
