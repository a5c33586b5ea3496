"""However a family file is spoilt, the reading refuses it by name or accepts it."""

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.engine import boards
from diagnostics.engine.boards import (
    FAMILY_IDS,
    Patch,
    board_of,
    load_family,
    load_family_text,
    load_family_texts,
)
from diagnostics.engine.errors import FamilyError
from diagnostics.engine.family_file import deepest_line
from tests.engine.small_family import LARGER, SMALL

pytestmark = pytest.mark.long

FAMILIES = {family: load_family(family) for family in FAMILY_IDS}
FAMILY = FAMILIES["laptop_barrel"]
HASH, MAIN = FAMILY.hash, FAMILY.rails["main"].ohms
LINES = SMALL.splitlines()
SPOILERS = st.sampled_from(
    ["", '"', "]", "}", "=", "0", "-", ".", "#", "\n", "true", "é"]
)
VALUES = (
    st.none()
    | st.booleans()
    | st.integers(-5, 5)
    | st.floats()
    | st.text(max_size=5)
    | st.lists(st.text(max_size=3) | st.integers(), max_size=3)
    | st.dictionaries(st.text(max_size=5), st.integers(), max_size=2)
)


def refused(read: Callable[[], object]) -> FamilyError | None:
    """The refusal, or ``None``; any other exception fails the test."""
    try:
        read()
    except FamilyError as error:
        return error
    return None


def read_or_refuse(text: str) -> None:
    error = refused(lambda: load_family_text(text, "small.toml"))
    if error is not None:
        assert error.values["file"] == "small.toml"
        line = error.values["line"]
        assert isinstance(line, int)
        assert 1 <= line <= max(1, len(text.splitlines()))
        assert "key" in error.values


@pytest.mark.parametrize("number", range(len(LINES)))
def test_a_missing_line_is_refused_or_harmless(number: int) -> None:
    read_or_refuse("\n".join(LINES[:number] + LINES[number + 1 :]))


@settings(max_examples=50, deadline=None)
@given(st.integers(0, len(SMALL)), st.integers(0, 6), SPOILERS)
def test_a_slip_of_the_keyboard_is_refused_or_harmless(
    start: int, width: int, spoiler: str
) -> None:
    read_or_refuse(SMALL[:start] + spoiler + SMALL[start + width :])


@settings(max_examples=50, deadline=None)
@given(st.integers(0, len(LARGER)), st.integers(0, 6), SPOILERS)
def test_a_slip_in_a_family_that_builds_on_another_is_found_in_its_own_file(
    start: int, width: int, spoiler: str
) -> None:
    """The base is as it was: what makes no sense is never said to stand there."""
    text = LARGER[:start] + spoiler + LARGER[start + width :]
    texts = {"small.toml": SMALL, "larger.toml": text}
    error = refused(lambda: load_family_texts(texts))
    if error is not None and error.code not in {"unknown_reference", "duplicate_id"}:
        assert error.values["file"] == "larger.toml", error
    assert error is None or isinstance(error.values["line"], int)


KEYS = [
    "rails.main.ohms.ok_from",
    "rails.sb.33.volts",
    "rails.sb.33.needs",
    "rails.sb.33",
    "signals.button",
    "counts.cpu_phases",
    "variants.memory",
    "variants.memory.options",
    "parts.p.cmain.modes",
    "parts.p.cmain.modes.short.one_of",
    "checks.k06.points",
    "checks.k06.points.main.expect",
    "checks.k60.categories",
    "power.gates",
    "walks.cpu",
    "stages.order",
    "blocks.cpu.makes",
    "files",
    "id",
]


@settings(max_examples=50, deadline=None)
@given(st.sampled_from(KEYS), VALUES)
def test_whatever_a_board_model_changes_is_taken_or_refused(
    key: str, value: object
) -> None:
    error = refused(lambda: board_of(FAMILY, [Patch(key, value)]))
    assert error is None or "key" in error.values
    assert FAMILY.hash == HASH
    assert FAMILY.rails["main"].ohms == MAIN


def test_every_table_and_key_of_the_family_is_found_on_its_own_line() -> None:
    folder = Path(boards.__file__).parent / "families"
    text = (folder / "laptop_barrel/rails.toml").read_text(encoding="utf-8")
    lines = text.splitlines()
    for rail in FAMILY.rails:
        _depth, header = deepest_line(text, ("rails", rail))
        assert lines[header - 1].replace('"', "") == f"[rails.{rail}]"
        _depth, line = deepest_line(text, ("rails", rail, "volts", "low"))
        assert lines[line - 1].startswith("volts = ")
        assert line > header


@pytest.mark.parametrize(
    ("family", "stage"),
    [(one.id, stage.id) for one in FAMILIES.values() for stage in one.stages],
)
def test_in_a_walk_what_a_check_needs_comes_before_it(family: str, stage: str) -> None:
    checks, walk = FAMILIES[family].checks, FAMILIES[family].walks[stage]
    for place, one in enumerate(walk):
        later = set(walk[place + 1 :])
        assert not later & {*checks[one].needs, *checks[one].gates}, one


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_every_check_is_walked_once_and_in_its_own_stage(family: str) -> None:
    one = FAMILIES[family]
    for stage, ids in one.walks.items():
        assert {one.checks[check].stage for check in ids} == {stage}
    walked = [check for ids in one.walks.values() for check in ids]
    assert sorted(walked) == sorted(one.checks)
    assert set(one.walks) == {stage.id for stage in one.stages}


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_cold_comes_before_power_in_every_walk(family: str) -> None:
    one = FAMILIES[family]
    for stage in ("standby", "control", "sleep", "memory", "chipset", "graphics"):
        powered = [one.checks[check].is_powered for check in one.walks[stage]]
        assert powered == sorted(powered), stage


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_no_powered_check_guards_power(family: str) -> None:
    """A gate that needs power to be read could never be read first."""
    board = board_of(FAMILIES[family])
    guards = board.guards_of_power
    assert {board.check(gate).condition for gate in guards} == {"U"}
    for gate in guards:
        before = [board.check(gate)]
        while before:
            check = before.pop()
            assert not check.is_powered
            before += [board.check(one) for one in (*check.needs, *check.gates)]
