"""Family files: what they hold, and how the reading refuses what makes no sense."""

import re
import tomllib
from pathlib import Path

import pytest

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
from diagnostics.engine.family_refs import ids_of
from diagnostics.engine.spread import faults_of
from tests.engine.small_family import SMALL, line_of, spoilt

FAMILY = load_family("laptop_barrel")
IDS = Path(boards.__file__).parent / "families" / "ids.txt"

# Domain brief, section 4: the checks of the family LB, and its Gate marks.
OF_OTHER_FAMILIES = {"k08", "k09", "k10", "k25", "k43"}
# And k64 to k66, which the project asks for: what the board does, what was told.
CHECKS = {f"k{n:02}" for n in range(1, 67)} - OF_OTHER_FAMILIES
GATES = {
    "k05": {"k03"},
    "k06": {"k03"},
    "k47": {"k19"},
    "k48": {"k18"},
    "k53": {"k18", "k19"},
    "k54": {"k18", "k19"},
    "k55": {"k02"},
    "k62": {"k03"},
}


# --- what the family holds ------------------------------------------------------


def test_the_stages_stand_in_order() -> None:
    stages = [stage.id for stage in FAMILY.stages]
    assert stages == (
        "power_in charge standby control sleep memory chipset graphics cpu".split()
    )


def test_every_check_of_the_family_is_there() -> None:
    assert set(FAMILY.checks) == CHECKS


def test_gates_are_those_of_the_brief() -> None:
    assert {c.id: set(c.gates) for c in FAMILY.checks.values() if c.gates} == GATES
    assert FAMILY.power_gates == ("k06", "k18", "k19", "k20")


def test_weights_add_up_to_about_a_hundred_in_each_full_block() -> None:
    """Section 3: about 100 inside the block; p.trace comes on top."""
    sums: dict[str, float] = {}
    for part in FAMILY.parts.values():
        weights = sum(mode.weight for mode in part.modes)
        sums[part.block] = sums.get(part.block, 0) + weights
    assert sums.pop("anywhere") == 5
    assert sums == dict.fromkeys(sums, 100)
    assert len(sums) == 9


@pytest.mark.parametrize(
    ("part", "mode", "weight"),
    [
        ("p.cmain", "short", 30),
        ("p.dual", "no_output", 25),
        ("p.flash", "contents", 30),
        ("p.qcpu", "high_short", 20),
        ("p.gfx", "joints_or_dead", 60),
    ],
)
def test_weights_are_those_of_the_brief(part: str, mode: str, weight: float) -> None:
    modes = {one.id: one.weight for one in FAMILY.parts[part].modes}
    assert modes[mode] == weight


@pytest.mark.parametrize(
    ("rail", "ok_from", "watch_below", "short_below"),
    [
        ("in.jack", 10e3, 1e3, 10),
        ("main", 1e3, 300, 20),
        ("rtc", 20e3, 5e3, 200),
        ("keep5", 2e3, 500, 20),
        ("sb.33", 300, 100, 10),
        ("sb.5", 500, 150, 10),
        ("ec.33", 500, 100, 10),
        ("run.5", 200, 50, 5),
        ("mem.q", 20, 8, 1),
        ("mem.tt", 15, 5, 0.5),
        ("cs.core", 5, 2, 0.3),
        ("gfx.core", 0.5, 0.2, 0.05),
        ("cpu.core", 1, 0.4, 0.1),
        ("cpu.aux", 3, 1, 0.2),
    ],
)
def test_ohms_are_those_of_the_brief(
    rail: str, ok_from: float, watch_below: float, short_below: float
) -> None:
    ohms = FAMILY.rails[rail].ohms
    assert ohms is not None
    assert (ohms.ok_from, ohms.watch_below, ohms.short_below) == (
        ok_from,
        watch_below,
        short_below,
    )


def test_only_the_two_core_rails_ask_for_four_wires() -> None:
    asking = {r.id for r in FAMILY.rails.values() if r.ohms and r.ohms.needs_four_wire}
    assert asking == {"cpu.core", "gfx.core"}


def test_commanded_rails_have_no_hard_limit() -> None:
    commanded = {rail.id for rail in FAMILY.rails.values() if rail.is_commanded}
    assert {"cpu.core", "cpu.aux", "gfx.core"} <= commanded
    board = board_of(FAMILY)
    for point in ("k48/cpu.core", "k49/cpu.aux", "k47/gfx.core"):
        yardstick = board.yardstick(point)
        assert yardstick is not None
        assert not yardstick.has_limit
        assert yardstick.has_usual


@pytest.mark.parametrize("kind", ["ddr3", "ddr3l", "ddr4", "lpddr4x", "lpddr5", "ddr5"])
def test_every_kind_of_memory_can_be_chosen(kind: str) -> None:
    board = board_of(FAMILY, [Patch("variants.memory", kind)])
    assert board.is_fitted("mem.q")
    assert board.yardstick("k45/mem.q") is not None


@pytest.mark.parametrize(
    ("variant", "option"),
    [
        ("flash", "v18"),
        ("main", "two_cells"),
        ("main", "three_cells"),
        ("main", "four_cells"),
        ("input_fets", "p_channel"),
    ],
)
def test_every_other_variant_can_be_chosen(variant: str, option: str) -> None:
    board = board_of(FAMILY, [Patch(f"variants.{variant}", option)])
    assert board.family != FAMILY


# --- ids are for ever -----------------------------------------------------------


def all_ids() -> dict[str, tuple[str, ...]]:
    """Every id of every family, with as many phases as a board may have."""
    counts = [
        Patch("counts.cpu_phases", 12),
        Patch("counts.graphics_phases", 8),
        Patch("counts.standby_phases", 2),
    ]
    found: dict[str, tuple[str, ...]] = {}
    for family in FAMILY_IDS:
        found |= ids_of(board_of(load_family(family), counts).family)
    return found


def test_no_id_ever_vanishes() -> None:
    """A renamed one stays findable by ``was``; a new one is added to the list."""
    committed = IDS.read_text(encoding="utf-8").split("\n")[:-1]
    ids = all_ids()
    known = set(ids) | {old for was in ids.values() for old in was}
    assert [one for one in committed if one not in known] == []


def test_every_id_is_on_the_list_in_order() -> None:
    committed = IDS.read_text(encoding="utf-8").split("\n")[:-1]
    assert sorted(set(committed)) == committed
    assert [one for one in all_ids() if one not in committed] == []


def test_a_renamed_check_is_found_by_its_old_id() -> None:
    text = spoilt('name = "jack to ground"', 'name = "jack"\nwas = ["k99"]')
    board = board_of(load_family_text(text, "small.toml"))
    assert board.check("k99").id == "k05"
    assert ids_of(board.family)["check k05"] == ("check k99",)


def test_a_renamed_mode_would_be_missed() -> None:
    assert "mode p.cmain:short" in all_ids()


def test_an_old_id_is_not_used_again() -> None:
    text = spoilt('name = "jack to ground"', 'name = "jack"\nwas = ["k01"]')
    assert refusal(text).code == "id_reused"


def test_a_photo_passes_when_it_is_kept_and_names_no_answers() -> None:
    answers = 'categories = { clean = "good", burnt = "bad" }\n'
    text = spoilt(answers, "").replace('form = "category"', 'form = "photo"')
    check = load_family_text(text, "small.toml").checks["k01"]
    assert check.categories == {"photo_kept": "good"}


# --- refusals -------------------------------------------------------------------


def refusal(text: str) -> FamilyError:
    with pytest.raises(FamilyError) as caught:
        load_family_text(text, "small.toml")
    return caught.value


def test_the_small_family_reads() -> None:
    family = load_family_text(SMALL, "small.toml")
    assert family.id == "small"
    assert [p.id for p in family.checks["k18"].points] == ["k18/phase1", "k18/phase2"]


WRONG = tomllib.loads(
    Path(__file__).with_name("wrong_families.toml").read_text(encoding="utf-8")
)["wrong"]


@pytest.mark.parametrize("wrong", WRONG, ids=[w["is"] or w["was"] for w in WRONG])
def test_what_makes_no_sense_is_refused_with_file_line_and_key(
    wrong: dict[str, str],
) -> None:
    text = spoilt(wrong["was"], wrong["is"])
    error = refusal(text)
    assert (error.code, error.values["key"]) == (wrong["code"], wrong["key"])
    assert error.values["file"] == "small.toml"
    assert error.values["line"] == line_of(text, wrong["line_with"])


def test_broken_toml_is_refused_with_its_line() -> None:
    text = spoilt('name = "core"', 'name = "core')
    error = refusal(text)
    assert (error.code, error.values["key"]) == ("not_toml", "rails.core.name")
    assert error.values["line"] == line_of(text, 'name = "core')


def test_broken_toml_at_the_very_end_is_refused_at_the_last_line() -> None:
    error = refusal('id = "small"\nname = [1,')
    assert (error.code, error.values["line"]) == ("not_toml", 2)


def test_broken_toml_before_any_key_has_no_key() -> None:
    assert refusal("= 1").values["key"] == ""


def test_an_id_that_stands_twice_in_a_file_is_refused() -> None:
    text = SMALL + '\n[checks.k01]\nname = "again"\n'
    error = refusal(text)
    assert (error.code, error.values["key"]) == ("duplicate_id", "checks.k01")
    assert error.values["line"] == line_of(text, '[checks.k01]\nname = "again"')


def test_an_id_that_stands_in_two_files_is_refused_in_the_second() -> None:
    with pytest.raises(FamilyError) as caught:
        boards.load_family_texts({"a.toml": SMALL, "b.toml": "\n[checks.k01]\n"})
    values = caught.value.values
    assert (values["file"], values["line"]) == ("b.toml", 2)
    assert (caught.value.code, values["key"]) == ("duplicate_id", "checks.k01")


def test_a_plain_value_that_stands_in_two_files_is_refused() -> None:
    with pytest.raises(FamilyError, match="duplicate_id"):
        boards.load_family_texts({"a.toml": SMALL, "b.toml": 'id = "other"'})


def test_an_unknown_family_is_refused() -> None:
    with pytest.raises(FamilyError, match="unknown_family"):
        load_family("toaster")


@pytest.mark.parametrize(
    ("points", "key", "piece"),
    [
        (
            '[\n  "core", # first\n\n  { id = "a" , rale = "core" },\n]',
            "1.rale",
            "rale",
        ),
        ('["core",\n  { id = "a, b", signal = "good" },\n  3,\n]', "2", "  3,"),
        ('[{ id = "a" }, [1],\n  "core",\n]', "1", "[1]"),
    ],
)
def test_an_item_of_a_list_is_found_on_its_line(
    points: str, key: str, piece: str
) -> None:
    start = SMALL.index('points = ["core", {')
    text = SMALL[:start] + f"points = {points}" + SMALL[SMALL.index("\n", start) :]
    error = refusal(text)
    assert error.values["key"] == f"checks.k48.points.{key}"
    assert error.values["line"] == line_of(text, piece)


def test_where_a_literal_text_hides_the_items_the_lists_own_line_is_named() -> None:
    error = refusal(spoilt('points = ["in.jack"]', "points = ['in\"jack', 3]"))
    assert error.values["key"] == "checks.k05.points.1"
    assert error.values["line"] == line_of(SMALL, 'points = ["in.jack"]')


def test_a_line_may_carry_a_comment() -> None:
    text = spoilt("[power]", "[power] # before any power")
    assert load_family_text(text, "small.toml").power_gates == ("k05", "k18")


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_no_text_of_a_family_names_a_part_by_its_id(family: str) -> None:
    """Texts are for people: ids such as p.cmain stay in the data."""
    one = load_family(family)
    texts = [
        text
        for check in one.checks.values()
        for text in (check.name, check.pass_tells, check.fail_tells, check.risk)
    ]
    texts += [text for rail in one.rails.values() for text in (rail.where, rail.trap)]
    assert [text for text in texts if re.search(r"\bp\.[a-z]|\bk\d\d", text)] == []


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_every_mode_of_a_family_touches_what_its_board_has(family: str) -> None:
    """A part without any fault left on the plain board is one of another variant."""
    board = board_of(load_family(family))
    without = {
        part.id
        for part in board.parts.values()
        if not any(faults_of(board, mode) for mode in part.modes)
    }
    assert without == ({"p.qgfx"} if family == "desktop_atx" else set())


def test_what_a_variant_leaves_out_must_be_there() -> None:
    text = spoilt('default = "plain"', 'default = "bare"')
    load_family_text(text, "small.toml")
    error = refusal(text.replace('["k01/top"]', '["k01/side"]'))
    assert (error.code, error.values["to"]) == ("unknown_reference", "k01/side")


# --- a check more is one piece of one file ------------------------------------------

NEW_CHECK = """
[checks.k99]
name = "second look at the slots"
stage = "graphics"
mode = "V"
condition = "R"
form = "value"
points = ["slot.12"]
minutes = 1
needs = ["k47"]
walk_after = "k47"
"""


def test_a_new_check_touches_one_data_file() -> None:
    """DEVELOPERS.md, the recipe of a check: its file alone, and no walk's list."""
    before = load_family("desktop_atx")
    file = "desktop_atx/checks.toml"
    texts = {**before.texts, file: before.texts[file] + NEW_CHECK}
    board = board_of(load_family_texts(texts))
    assert [one for one in texts if texts[one] != before.texts[one]] == [file]
    assert [check.id for check in board.walk("graphics")][-2:] == ["k47", "k99"]
    assert board.yardstick("k99/slot.12", condition="R") == board.yardstick(
        "k47/slot.12"
    )
    assert set(board.checks) == {*before.checks, "k99"}
    assert board.point("k99/slot.12").label == "12 V of the graphics slot"


def test_a_check_that_follows_one_of_another_stage_is_refused() -> None:
    text = SMALL.replace("[checks.k05]\n", '[checks.k05]\nwalk_after = "k18"\n')
    error = refusal(text)
    assert (error.code, error.values["to"]) == ("unknown_reference", "k18")
    assert error.values["line"] == line_of(text, "walk_after")


def test_a_check_stands_in_the_walk_once() -> None:
    """Listed and following another as well would be twice."""
    text = SMALL.replace("[checks.k05]\n", '[checks.k05]\nwalk_after = "k01"\n')
    assert refusal(text).code == "walked_twice"
