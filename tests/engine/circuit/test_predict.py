"""What every check should read, for every fault, on a small family."""

import dataclasses
import warnings

import numpy as np
import pytest

from diagnostics.engine.boards import Board, board_of, load_family_text
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import NO_FAULT
from diagnostics.engine.circuit.predict import Predictions, predict
from tests.engine.small_board import WITH_CIRCUIT, with_checks
from tests.engine.small_family import SMALL

BOARDS = 24
JACK_OPEN, JACK_SHORT = ("p.jack", "open"), ("p.jack", "short")
HIGH = ("p.stage", "high")
MORE = """
[checks.d01]
name = "core, diode mode"
stage = "cpu"
mode = "D"
condition = "U"
form = "value"
points = [
  { id = "red", rail = "core", polarity = "red_on_ground" },
  { id = "black", rail = "core" },
  { id = "body", pair = ["in.jack", "core"] },
]
minutes = 1

[checks.d02]
name = "jack, coils lifted"
stage = "cpu"
mode = "C"
condition = "U"
form = "value"
points = ["core"]
opens = [["phase_1", "core"], ["core", "phase_2"]]
minutes = 20

[checks.i01]
name = "supply current"
stage = "cpu"
mode = "I"
condition = "A"
form = "value"
points = [{ id = "supply" }]
minutes = 1

[checks.i02]
name = "supply current, running"
stage = "cpu"
mode = "I"
condition = "B"
form = "value"
points = [{ id = "supply" }]
minutes = 1

[checks.i03]
name = "injected current"
stage = "cpu"
mode = "I"
condition = "U"
form = "value"
points = [{ id = "supply" }]
minutes = 1

[checks.v01]
name = "odd ones"
stage = "cpu"
mode = "V"
condition = "B"
form = "value"
points = [
  { id = "across", pair = ["in.jack", "core"] },
  { id = "pressed", signal = "button_press" },
]
minutes = 1

[checks.v02]
name = "cold volts"
stage = "cpu"
mode = "V"
condition = "U"
form = "value"
points = ["core"]
minutes = 1

[checks.r02]
name = "ohms under power"
stage = "cpu"
mode = "R"
condition = "A"
form = "value"
points = ["core"]
minutes = 1

[signals]
button_press = { name = "button", stage = "cpu", needs = [] }
phase_1 = { name = "phase 1", stage = "cpu", needs = [] }
phase_2 = { name = "phase 2", stage = "cpu", needs = [] }
"""
LIVE = ("i01/supply", "i02/supply", "k48/core", "k48/good")
COLD = ("d01/red", "d01/black", "d01/body", "d02/core", "k05/in.jack")
PHASES = ("k18/phase1", "k18/phase2")


@pytest.fixture(scope="module")
def board() -> Board:
    return board_of(load_family_text(with_checks(MORE), "small.toml"))


@pytest.fixture(scope="module")
def found(board: Board) -> Predictions:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return predict(board, BOARDS)


def row(found: Predictions, fault: tuple[str, str], point: str) -> Floats:
    at = found.faults.index(fault), found.points.index(point)
    shown: Floats = found.means[at]
    return shown


def touched(found: Predictions, fault: tuple[str, str]) -> set[str]:
    at = found.faults.index(fault)
    return {
        point
        for number, point in enumerate(found.points)
        if found.touched[at, number].any()
    }


def test_no_fault_comes_first_and_every_way_of_failing_after(
    found: Predictions,
) -> None:
    assert found.faults[0] == NO_FAULT
    assert set(found.faults) == {NO_FAULT, JACK_OPEN, JACK_SHORT, HIGH}
    shape = (4, len(found.points), BOARDS)
    assert found.means.shape == found.blurs.shape == found.touched.shape == shape


def test_only_what_the_circuit_has_a_law_for_is_predicted(found: Predictions) -> None:
    """No look, no volts across a pair, no volts cold, no ohms under power, no
    current without power, no button without its line."""
    assert set(found.points) == {*LIVE, *COLD, *PHASES}
    modes = dict(zip(found.points, found.modes, strict=True))
    assert modes["k48/good"] == "V"
    assert modes["d02/core"] == "C"


def test_a_good_board_reads_what_the_family_says(found: Predictions) -> None:
    assert row(found, NO_FAULT, "k48/core") == pytest.approx(
        np.full(BOARDS, 0.9), rel=0.08
    )
    assert row(found, NO_FAULT, "k48/good") == pytest.approx(
        np.full(BOARDS, 3.3), rel=0.06
    )
    core = row(found, NO_FAULT, "d02/core")
    assert ((core > 1.1) & (core < 8.6)).all()
    awake = row(found, NO_FAULT, "i02/supply") - row(found, NO_FAULT, "i01/supply")
    assert ((awake > 0.19) & (awake < 0.51)).all()


def test_diode_mode_follows_the_polarity_of_its_point(found: Predictions) -> None:
    """The load hides the junction from both sides; 1 mA over 1 to 8 ohm."""
    for point in ("d01/red", "d01/black"):
        shown = row(found, NO_FAULT, point)
        assert ((shown > 0.0009) & (shown < 0.0081)).all(), point


def test_a_short_at_the_jack_is_in_its_ohms_and_in_all_that_it_feeds(
    found: Predictions,
) -> None:
    assert (row(found, JACK_SHORT, "k05/in.jack") < 13).all()
    assert {"k05/in.jack", *LIVE} <= touched(found, JACK_SHORT)
    assert not {"d02/core", "d01/red"} & touched(found, JACK_SHORT)


def test_what_shows_only_under_power_touches_nothing_cold(found: Predictions) -> None:
    assert touched(found, JACK_OPEN) == set(LIVE)
    cold = [found.points.index(point) for point in (*COLD, *PHASES)]
    good, faulty = (
        found.means[found.faults.index(f), cold] for f in (NO_FAULT, JACK_OPEN)
    )
    assert np.array_equal(good, faulty, equal_nan=True)


def test_a_bridge_shows_across_its_pair(found: Predictions) -> None:
    """Core is a few ohms from ground, so the jack is too once they are joined."""
    assert (row(found, NO_FAULT, "k18/phase1") > 500).all()
    for point in PHASES:
        assert (row(found, HIGH, point) < 1).all()
    assert {"k05/in.jack", *PHASES} <= touched(found, HIGH)


def test_a_good_board_is_touched_by_nothing(found: Predictions) -> None:
    assert not found.touched[0].any()


def test_from_a_value_to_ol_is_a_touch_and_from_ol_to_ol_none(
    found: Predictions,
) -> None:
    """Red on the jack, black on core: no body diode conducts that way."""
    at = found.points.index("d01/body")
    good = found.means[found.faults.index(NO_FAULT), at]
    bridged = found.faults.index(HIGH)
    assert np.isnan(good).all()
    assert not np.isnan(found.means[bridged, at]).any()
    assert found.touched[bridged, at].all()
    assert not found.touched[found.faults.index(JACK_OPEN), at].any()


def test_the_same_seed_predicts_the_same_and_another_differs(board: Board) -> None:
    one, same, other = (predict(board, 8, seed) for seed in (3, 3, 4))
    assert np.array_equal(one.means, same.means, equal_nan=True)
    assert not np.array_equal(one.means, other.means, equal_nan=True)


def test_parts_and_rails_that_are_not_fitted_give_no_hypotheses(board: Board) -> None:
    without_part = dataclasses.replace(board, not_fitted=frozenset({"p.stage"}))
    assert set(predict(without_part, 4).faults) == {NO_FAULT, JACK_OPEN, JACK_SHORT}
    without_jack = dataclasses.replace(board, not_fitted=frozenset({"in.jack"}))
    left = predict(without_jack, 4)
    assert set(left.faults) == {NO_FAULT}  # a bridge needs both of its ends
    assert "k05/in.jack" not in left.points


def test_a_button_is_read_at_its_line_while_it_is_held() -> None:
    """The contact's line is predicted at its point for the press."""
    button = """
[circuit.feeds.power_button]
kind = "contact"
to = "power_button"
from = "in.jack"
pressed = "button_press"
"""
    text = with_checks(MORE) + button
    found = predict(board_of(load_family_text(text, "small.toml")), 4)
    assert row(found, NO_FAULT, "v01/pressed") == pytest.approx(np.full(4, 0.007))


def test_a_family_without_a_circuit_is_refused() -> None:
    board = board_of(load_family_text(SMALL, "small.toml"))
    with pytest.raises(ValueError, match="no circuit"):
        predict(board)


def test_the_family_reads_the_circuit() -> None:
    assert load_family_text(WITH_CIRCUIT, "small.toml").circuit is not None
