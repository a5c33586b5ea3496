"""A family that builds on another: what it takes over, and how it is refused."""

from pathlib import Path

import pytest

from diagnostics.engine import family_load
from diagnostics.engine.boards import Patch, board_of, load_family, load_family_texts
from diagnostics.engine.errors import FamilyError
from diagnostics.engine.family import Family
from diagnostics.engine.family_load import texts_of
from tests.engine.small_family import LARGER, SMALL, line_of


def read(larger: str = LARGER, small: str = SMALL) -> Family:
    return load_family_texts({"small.toml": small, "larger.toml": larger})


def refusal(old: str, new: str) -> tuple[str, FamilyError]:
    """The larger family with one piece changed, and how it is refused."""
    assert LARGER.count(old) == 1, old
    text = LARGER.replace(old, new)
    with pytest.raises(FamilyError) as caught:
        read(text)
    return text, caught.value


# --- what is taken over -----------------------------------------------------------


def test_what_is_not_written_is_as_in_the_base() -> None:
    small, larger = load_family_texts({"small.toml": SMALL}), read()
    assert (larger.id, larger.name) == ("larger", "Larger")
    assert larger.stages == small.stages
    assert larger.signals == small.signals
    assert larger.power_gates == small.power_gates
    assert larger.checks["k48"] == small.checks["k48"]


def test_left_out_ids_are_gone_and_new_ones_there() -> None:
    larger = read()
    assert set(larger.rails) == {"plug", "core"}
    assert set(larger.checks) == {"k05", "k18", "k48", "k99"}
    assert larger.walks == {"power_in": ("k05", "k99"), "cpu": ("k18", "k48")}


def test_an_id_written_anew_keeps_its_place_in_the_order() -> None:
    assert [*read().blocks] == ["input", "cpu"]
    assert [*read().walks] == ["power_in", "cpu"]


def test_a_changed_value_leaves_its_neighbours_as_they_were() -> None:
    core = read().rails["core"]
    assert (core.low, core.high, core.needs) == (0.6, 1.4, ("plug",))


def test_a_board_model_patches_it_like_any_family() -> None:
    family = read()
    board = board_of(
        family,
        [
            Patch("variants.input", "bare"),
            Patch("counts.phases", 3),
            Patch("rails.plug.ohms.ok_from", 2e3),
        ],
    )
    assert not board.is_fitted("k05/plug")
    assert len(board.checks["k18"].points) == 3
    yardstick = board.yardstick("k05/plug")
    assert yardstick is not None
    assert yardstick.usual_low == 2e3
    with pytest.raises(FamilyError) as caught:
        board_of(family, [Patch("rails.in.jack.where", "")])
    assert caught.value.code == "unknown_patch"
    with pytest.raises(FamilyError) as caught:
        board_of(family, [Patch("rails.plug.ohms.ok_from", 1.0)])
    assert caught.value.values["file"] == "board model"


def test_a_change_of_the_base_is_another_family() -> None:
    """The hash is of all texts: advice rows tell which family they rest on."""
    assert read().hash != read(small=SMALL + "\n# more").hash


def test_a_family_may_build_on_one_that_builds_on_another() -> None:
    third = 'id = "third"\nname = "Third"\nversion = 1\nextends = "larger"\n'
    third += 'files = ["third/more.toml"]\n'
    more = '[changes]\n"rails.plug.volts.high" = 13.0\n'
    texts = {
        "third.toml": third,
        "third/more.toml": more,
        "small.toml": SMALL,
        "larger.toml": LARGER,
    }
    family = load_family_texts(texts)
    assert (family.id, family.rails["plug"].high) == ("third", 13.0)
    assert family.rails["core"].high == 1.4


# --- refusals name the file and line where it was written -----------------------


@pytest.mark.parametrize(
    ("old", "new", "code", "line_with"),
    [
        ('name = "plug"', "name = 3", "wrong_type", "name = 3"),
        ('power_good = ""\n', "", "missing_key", "[rails.plug]"),
        ('where = "plug pins"', 'wehre = ""', "missing_key", "[rails.plug]"),
        ('rails = ["in.jack"]', 'rails = ["in.jak"]', "unknown_reference", "in.jak"),
        ('rails = ["in.jack"]', 'rials = ["core"]', "unknown_reference", "rials"),
        ('rails = ["in.jack"]', 'version = ["a"]', "unknown_reference", '= ["a"]'),
        ('rails = ["in.jack"]', "rails = 1", "wrong_type", "rails = 1"),
        ('blocks = ["input"]\n', "", "not_left_out", "[blocks.input]"),
        ('"rails.core.needs"', '"rails.cor.needs"', "unknown_patch", "rails.cor."),
        ('volts.high" = 1.4', 'volts.high" = "x"', "wrong_type", 'high" = "x"'),
        ('volts.high" = 1.4', 'volts.high" = 0.1', "empty_span", 'high" = 0.1'),
        ('core.needs" = ["plug', 'core.needs" = ["pl', "unknown_reference", '"pl"'),
        ('needs = ["k05"]', 'needs = ["k04"]', "unknown_reference", 'needs = ["k04"]'),
        ('walk_after = "k05"', 'walk_after = "k55"', "unknown_reference", "k55"),
        ("version = 1", "version = 1\npower = 1", "wrong_type", "power = 1"),
        ('[walks]', '[walks]\ncpu = ["k05"]', "not_left_out", 'cpu = ["k05"]'),
        ('id = "larger"\n', "", "missing_key", None),
        ("[changes]", "changes = 1\n[leaves]", "wrong_type", None),
        ('extends = "small"', 'extends = "smal"', "unknown_family", "extends"),
        ('extends = "small"', 'extends = "larger"', "unknown_family", "extends"),
        ('extends = "small"', "extends = 3", "wrong_type", None),
        ('version = 1', 'version = 1\nname = "x"', "duplicate_id", 'name = "x"'),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused(
    old: str, new: str, code: str, line_with: str | None
) -> None:
    text, error = refusal(old, new)
    assert error.code == code
    assert error.values["file"] == "larger.toml"
    if line_with is not None:
        assert error.values["line"] == line_of(text, line_with)


def test_what_is_wrong_in_the_base_is_said_to_stand_there() -> None:
    small = SMALL.replace('name = "core"', "name = 3")
    with pytest.raises(FamilyError) as caught:
        read(small=small)
    assert caught.value.values["file"] == "small.toml"
    assert caught.value.values["line"] == line_of(small, "name = 3")


def test_an_id_in_two_files_of_one_family_is_refused_in_the_second() -> None:
    head = LARGER.replace("version = 1", 'version = 1\nfiles = ["more.toml"]')
    texts = {"small.toml": SMALL, "larger.toml": head, "more.toml": "\n[rails.plug]\n"}
    with pytest.raises(FamilyError) as caught:
        load_family_texts(texts)
    values = caught.value.values
    assert (caught.value.code, values["file"], values["line"]) == (
        "duplicate_id",
        "more.toml",
        2,
    )


def test_two_families_that_build_on_the_same_are_not_one() -> None:
    twin = LARGER.replace('id = "larger"', 'id = "twin"')
    with pytest.raises(FamilyError, match="unknown_family"):
        load_family_texts(
            {"small.toml": SMALL, "larger.toml": LARGER, "twin.toml": twin}
        )


# --- files ----------------------------------------------------------------------

HEAD = 'id = "mine"\nname = "Mine"\nversion = 1\n'


def test_a_family_of_anyone_may_build_on_one_of_ours(tmp_path: Path) -> None:
    head = tmp_path / "mine.toml"
    head.write_text(HEAD + 'extends = "desktop_atx"\n', "utf-8")
    texts = texts_of(head)
    assert {"laptop_barrel.toml", "desktop_atx.toml", "mine.toml"} <= set(texts)
    assert (
        load_family_texts(texts).power_gates == load_family("desktop_atx").power_gates
    )


@pytest.mark.parametrize(
    ("more", "code", "line"),
    [
        ('extends = "toaster"\n', "unknown_family", 4),
        ("extends = 3\n", "unknown_family", 4),
        ('files = ["gone.toml"]\n', "no_such_file", 4),
    ],
)
def test_what_can_not_be_found_is_refused_with_its_line(
    tmp_path: Path, more: str, code: str, line: int
) -> None:
    head = tmp_path / "mine.toml"
    head.write_text(HEAD + more, "utf-8")
    with pytest.raises(FamilyError) as caught:
        texts_of(head)
    assert (caught.value.code, caught.value.values["line"]) == (code, line)


def test_files_that_are_no_list_are_left_to_the_strict_reading(tmp_path: Path) -> None:
    head = tmp_path / "mine.toml"
    head.write_text(HEAD + 'files = "one.toml"\n', "utf-8")
    assert set(texts_of(head)) == {"mine.toml"}


def test_a_family_of_ours_that_built_on_itself_would_be_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "desktop_atx.toml").write_text(
        HEAD + 'extends = "desktop_atx"\n', "utf-8"
    )
    monkeypatch.setattr(family_load, "FOLDER", tmp_path)
    with pytest.raises(FamilyError, match="unknown_family"):
        load_family("desktop_atx")


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    head = tmp_path / "mine.toml"
    head.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FamilyError, match="no_such_file"):
        texts_of(head)
