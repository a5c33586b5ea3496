"""A board: its family, its model's patches, what is not fitted, its yardsticks."""

import pytest

from diagnostics.engine.boards import Patch, board_of, load_family, load_family_text
from diagnostics.engine.errors import EvidenceError, FamilyError
from diagnostics.engine.verdicts import Yardstick
from tests.engine.small_family import SMALL

FAMILY = load_family("laptop_barrel")
BOARD = board_of(FAMILY)


def yardstick(point_id: str, *patches: Patch, condition: str = "") -> Yardstick:
    found = board_of(FAMILY, patches).yardstick(point_id, condition=condition)
    assert found is not None
    return found


# --- what is on the board -------------------------------------------------------


def test_everything_is_found_by_its_id() -> None:
    assert BOARD.check("k06").name == "main to ground"
    assert BOARD.point("k11/sb.33").rail == "sb.33"
    assert BOARD.rail("main").source_block == "charge"
    assert BOARD.parts["p.cmain"].modes[0].rail == "main"
    assert BOARD.parts["p.pack"].modes[0].rail is None
    assert "sb.33" in BOARD.blocks["standby"].makes
    assert BOARD.signals["sb.good"].needs == ("sb.33", "sb.5")
    assert [check.id for check in BOARD.walk("chipset")] == ["k15", "k46"]
    assert BOARD.walk("nowhere") == ()


@pytest.mark.parametrize("look", [BOARD.check, BOARD.point, BOARD.rail])
def test_what_the_board_does_not_have_is_refused(look: object) -> None:
    assert callable(look)
    with pytest.raises(EvidenceError):
        look("nothing")


def test_a_point_takes_its_rails_name_and_place_where_it_has_none() -> None:
    point = BOARD.point("k11/sb.33")
    assert point.label == "standby 3.3 V"
    assert "matching pair" in point.where
    assert BOARD.point("k35/sb.good").label.startswith("power-good")


def test_an_absent_stage_takes_its_rails_points_and_parts_with_it() -> None:
    board = board_of(FAMILY, not_fitted=frozenset({"graphics"}))
    missing = ["gfx.core", "k19/gfx.phase1", "p.gfx", "graphics"]
    assert [one for one in missing if board.is_fitted(one)] == []
    assert board.fitted_points("k47") == ()
    assert board.is_fitted("cpu.core")
    assert board.is_fitted("sb.good")


def test_a_stage_that_is_not_said_to_be_absent_is_there() -> None:
    small = load_family_text(SMALL, "small.toml")
    assert board_of(small).is_fitted("power_in")
    assert not board_of(small, (), frozenset({"power_in"})).is_fitted("in.jack")


def test_an_absent_rail_takes_the_points_across_it() -> None:
    board = board_of(FAMILY, not_fitted=frozenset({"gfx.core", "k60/camera"}))
    assert not board.is_fitted("k19/gfx.phase1")
    assert not board.is_fitted("k60/camera")
    assert board.is_fitted("k60/sound")


def test_the_kind_of_memory_says_what_is_not_fitted() -> None:
    assert {"mem.bulk", "mem.q2"} <= BOARD.not_fitted
    board = board_of(FAMILY, [Patch("variants.memory", "ddr5")])
    assert board.is_fitted("mem.bulk")
    assert not board.is_fitted("mem.tt")


# --- yardsticks -----------------------------------------------------------------


def test_a_cold_point_is_held_against_the_rails_ohms() -> None:
    found = yardstick("k06/main")
    assert (found.unit, found.limit_low, found.limit_high) == ("ohm", 20.0, None)
    assert (found.usual_low, found.watch_low) == (1e3, 300.0)
    assert not found.needs_four_wire
    assert yardstick("k17/cpu.core").needs_four_wire


def test_a_live_point_is_held_against_the_rails_volts() -> None:
    found = yardstick("k32/sb.5")
    assert (found.limit_low, found.limit_high) == (4.75, 5.25)
    assert found.limit_source == "std: USB, classic port"
    assert not found.has_usual


def test_a_usual_range_may_lie_inside_the_limits() -> None:
    found = yardstick("k34/rtc")
    assert (found.limit_low, found.usual_low) == (2.0, 2.6)
    assert found.usual_source.startswith("std: ")


def test_a_diode_point_says_how_the_probes_were_held() -> None:
    found = yardstick("k07/main")
    assert (found.usual_low, found.usual_high) == (0.40, 0.60)
    assert found.polarity == "red_on_ground"
    assert not found.has_limit
    assert BOARD.point("k07/main").polarity == "red_on_ground"


def test_a_check_with_figures_of_its_own_uses_them() -> None:
    found = yardstick("k03/main")
    assert (found.limit_low, found.limit_high) == (-0.1, 0.1)
    assert found.limit_source == "jd: less than 0.1 V"
    assert yardstick("k04/leads").is_of_leads
    assert yardstick("k22/fuse").limit_low is None


def test_a_point_may_differ_from_its_check_in_unit_and_figures() -> None:
    assert yardstick("k56/spread").unit == "V"
    assert BOARD.point("k56/spread").unit == "V"
    assert yardstick("k56/health").unit == "%"


@pytest.mark.parametrize(
    "point_id", ["k01/top", "k53/main", "k18/cpu.phase1", "k02/pack"]
)
def test_where_nothing_is_known_there_is_no_yardstick(point_id: str) -> None:
    assert BOARD.yardstick(point_id) is None


def test_a_rail_that_may_rightly_be_off_has_no_yardstick_then() -> None:
    assert BOARD.yardstick("k44/run.5", condition="A") is None
    assert BOARD.yardstick("k44/run.5", condition="S") is None
    assert yardstick("k44/slp.5", condition="S").limit_low == 4.75
    assert yardstick("k44/run.5", condition="B").limit_low == 4.75


def test_a_rail_without_bands_has_no_cold_yardstick() -> None:
    board = board_of(load_family_text(SMALL.replace('"in.jack"]\nm', '"core"]\nm'), ""))
    assert board.yardstick("k05/core") is None
    assert board.yardstick("k48/core") is not None


# --- patches --------------------------------------------------------------------


def test_a_model_may_change_a_band() -> None:
    assert yardstick("k06/main", Patch("rails.main.ohms.ok_from", 5e3)).usual_low == 5e3
    patch = Patch("rails.sb.33.ohms.ok_from", 400)
    assert yardstick("k11/sb.33", patch).usual_low == 400


def test_a_model_may_change_how_many_phases_there_are() -> None:
    board = board_of(FAMILY, [Patch("counts.cpu_phases", 4)])
    assert [p.id for p in board.check("k18").points] == [
        f"k18/cpu.phase{n}" for n in (1, 2, 3, 4)
    ]
    assert board.point("k18/cpu.phase4").label == "main to CPU phase node 4"
    assert len(board.check("k50").points) == 4


@pytest.mark.parametrize(
    ("count", "check", "points"),
    [("graphics_phases", "k19", 3), ("standby_phases", "k20", 4)],
)
def test_the_other_phases_can_be_counted_too(
    count: str, check: str, points: int
) -> None:
    number = {"graphics_phases": 3, "standby_phases": 2}[count]
    board = board_of(FAMILY, [Patch(f"counts.{count}", number)])
    assert len(board.check(check).points) == points


def test_a_model_may_change_what_stands_in_a_list() -> None:
    weight = Patch("parts.p.cmain.modes.short.weight", 60)
    assert board_of(FAMILY, [weight]).parts["p.cmain"].modes[0].weight == 60
    limit = Patch("checks.k31.points.dual.en.expect.usual", [1.0, "-"])
    assert yardstick("k31/dual.en", limit).usual_high is None


def test_a_models_own_figures_win_over_its_variant() -> None:
    patches = [
        Patch("rails.mem.q.volts.low", 1.1),
        Patch("variants.memory", "ddr5"),
    ]
    found = yardstick("k45/mem.q", *patches)
    assert (found.limit_low, found.limit_high) == (1.1, 1.166)


def test_a_patch_may_add_a_key_that_the_grammar_knows() -> None:
    usual = Patch("rails.sb.33.volts.usual", [3.28, 3.34])
    assert yardstick("k32/sb.33", usual).usual_low == 3.28
    with pytest.raises(FamilyError, match="unknown_key"):
        board_of(FAMILY, [Patch("rails.sb.33.volts.usuel", [3.28, 3.34])])


def test_a_whole_count_or_variant_may_be_given() -> None:
    whole = {"default": 3, "low": 1, "high": 3}
    board = board_of(FAMILY, [Patch("counts.cpu_phases", whole)])
    assert len(board.check("k18").points) == 3


@pytest.mark.parametrize(
    ("key", "value", "code"),
    [
        ("rails.main.ohms.ok_from", "much", "wrong_type"),
        ("rails.main.ohms.ok_from", 1, "bands_out_of_order"),
        ("rails.sb.33.needs", ["sb.18"], "loop_of_needs"),
        ("rails.sb.33.needs", ["nowhere"], "unknown_reference"),
        ("counts.cpu_phases", 0, "count_out_of_range"),
        ("variants.memory", "ddr9", "unknown_value"),
        ("parts.p.cmain.modes.short.weight", 0, "weight_not_positive"),
        ("checks.k06.minutes", -1, "minutes_not_positive"),
        ("rails.main.voltage", 19.0, "unknown_key"),
    ],
)
def test_a_patch_is_refused_like_a_file_but_has_no_line(
    key: str, value: object, code: str
) -> None:
    with pytest.raises(FamilyError) as caught:
        board_of(FAMILY, [Patch(key, value)])
    assert caught.value.code == code
    assert caught.value.values["file"] == "board model"
    assert caught.value.values["line"] is None


@pytest.mark.parametrize(
    "key",
    [
        "nothing",
        "rails",
        "rails.main2.ohms.ok_from",
        "version.of",
        "rails.main.needs.other.deep",
        "rails.main.needs.other",
        "checks.k31.points.none",
        "",
    ],
)
def test_a_key_that_leads_nowhere_is_refused(key: str) -> None:
    with pytest.raises(FamilyError):
        board_of(FAMILY, [Patch(key, 1)])


def test_a_rail_named_alone_in_a_list_of_points_is_reached_by_its_id() -> None:
    point = {"id": "sb.33", "rail": "sb.33", "label": "left inductor"}
    board = board_of(FAMILY, [Patch("checks.k11.points.sb.33", point)])
    assert board.point("k11/sb.33").label == "left inductor"


def test_patches_leave_the_family_as_it_was() -> None:
    board_of(FAMILY, [Patch("rails.main.ohms.ok_from", 5e3)])
    assert FAMILY.rails["main"].ohms is not None
    assert FAMILY.rails["main"].ohms.ok_from == 1e3


# --- hash -----------------------------------------------------------------------


def test_the_hash_is_of_the_text_and_stays_through_patches() -> None:
    small = load_family_text(SMALL, "small.toml")
    assert len(small.hash) == 64
    assert load_family_text(SMALL, "small.toml").hash == small.hash
    assert (
        load_family_text(SMALL.replace("\n", "\r\n"), "small.toml").hash == small.hash
    )
    assert load_family_text(SMALL + "# more", "small.toml").hash != small.hash
    assert board_of(small, [Patch("counts.phases", 3)]).family.hash == small.hash


def test_a_family_without_sections_is_refused_not_broken() -> None:
    for text in ('id = "x"', 'id = "x"\nvariants = 3', "[variants.a]\noptions = 1"):
        with pytest.raises(FamilyError):
            load_family_text(text, "x.toml")
