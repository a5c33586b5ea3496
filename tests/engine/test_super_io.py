"""The Super I/O test: one statement of three checks."""

from collections.abc import Mapping

import pytest

from diagnostics.engine.boards import board_of, load_family
from diagnostics.engine.super_io import ControllerState, controller_state
from tests.engine.bench import standing

BOARD = board_of(load_family("laptop_barrel"))
SIDES = {f"k36/side{n}": 3.301 for n in (1, 2, 3)}
LINES = {"k63/adapter.ok": 3.291, "k63/sb.good": 3.301}
FEED = {"k62/feed": 0.4}
ALL = {**SIDES, **LINES, **FEED}


def state(readings: Mapping[str, float | str]) -> ControllerState:
    stood = standing(BOARD, readings)
    return controller_state(BOARD, {key: one.word or "" for key, one in stood.items()})


def codes(found: ControllerState) -> list[str]:
    return [one.code for one in found.reasons]


def test_fed_and_alive() -> None:
    found = state(ALL)
    assert found.word == "alive"
    assert codes(found) == [
        "controller_alive",
        "fed_straight",
        "sides_all",
        "lines_up",
    ]
    assert found.missing == ()


def test_alive_before_it_is_known_how_it_is_fed() -> None:
    found = state({**SIDES, **LINES})
    assert (found.word, found.missing) == ("alive", ("k62",))


def test_mostly_three_volts_all_round_is_enough() -> None:
    found = state(ALL | {"k36/side3": 0.2})
    assert found.word == "alive"
    assert "sides_mostly" in codes(found)


def test_nothing_read_asks_for_all_three_in_their_order() -> None:
    found = state({})
    assert (found.word, found.missing) == ("open", ("k36", "k63", "k62"))
    assert found.reasons == ()


def test_two_sides_are_not_several() -> None:
    found = state({key: ALL[key] for key in ALL if key != "k36/side3"})
    assert (found.word, found.missing) == ("open", ("k36",))


@pytest.mark.parametrize(
    ("line", "stage"),
    [("k63/adapter.ok", "charge"), ("k63/sb.good", "standby")],
)
def test_a_line_that_is_low_names_the_stage_to_look_at(line: str, stage: str) -> None:
    found = state(ALL | {line: 0.01})
    assert (found.word, found.look_at) == ("look", (stage,))
    low = next(one for one in found.reasons if one.code == "line_low")
    assert low.values == {"point": line}


NO_SUPPLY = dict.fromkeys(SIDES, 0.01)


def test_no_supply_though_fed_straight_leads_to_the_standby_rail() -> None:
    found = state(ALL | NO_SUPPLY)
    assert (found.word, found.look_at) == ("look", ("standby",))
    assert "sides_few" in codes(found)


def test_no_supply_and_no_straight_feed_leads_to_the_path() -> None:
    found = state(ALL | NO_SUPPLY | {"k62/feed": "OL"})
    assert found.look_at == ("control",)
    assert "fed_another_way" in codes(found)


def test_another_feed_with_a_supply_is_no_fault() -> None:
    found = state(ALL | {"k62/feed": 60.0})
    assert (found.word, found.look_at) == ("alive", ())


def test_what_is_wrong_is_said_while_checks_are_missing() -> None:
    found = state({"k63/adapter.ok": 0.01})
    assert (found.word, found.look_at) == ("look", ("charge",))
    assert found.missing == ("k36", "k63", "k62")


def test_a_board_without_such_a_controller_is_told_so() -> None:
    bare = board_of(load_family("laptop_barrel"), not_fitted=frozenset({"control"}))
    assert controller_state(bare, {}).word == "absent"
