"""The circuit finder: the test vectors of the brief (section 6), clashes, laws.

Assignment is held against trying every way (``itertools.product``), the shares against
the softmax that the brief's vectors were computed by.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.engine.boards import board_of, load_family
from diagnostics.engine.calculators.markings import microhenries
from diagnostics.engine.landmarks import (
    Found,
    Group,
    Inductor,
    Mark,
    Outline,
    assigned,
    find,
    groups_of,
    near,
    scores,
)
from diagnostics.engine.landmarks_apart import (
    Apart,
    apart,
    circuits_of,
    points_of,
    rails_of,
)
from diagnostics.engine.landmarks_figures import (
    CIRCUITS,
    NEIGHBOURS,
    SEVERAL,
    Circuit,
    Landmark,
    Side,
)

Far = Mapping[str, float]
TOP, BOTTOM = Side.TOP, Side.BOTTOM


def inductors(
    count: int = 1,
    size: int = 2,
    *,
    x: float = 0.5,
    y: float = 0.4,
    look: str = "a",
    side: Side = TOP,
    first: int = 1,
    uh: float | None = None,
) -> list[Inductor]:
    """``count`` alike, whose centre is at (x, y), as near as neighbours are."""
    step = NEIGHBOURS / 2
    left = x - step * (count - 1) / 2
    return [
        Inductor(first + n, left + n * step, y, side, size, look, uh)
        for n in range(count)
    ]


def around(far: Far, behind: Sequence[str] = ()) -> list[Mark]:
    """Landmarks so far from (0.5, 0.4)."""
    return [
        Mark(Landmark(kind), 0.5, 0.4 + d, BOTTOM if kind in behind else TOP)
        for kind, d in far.items()
    ]


def one(count: int, size: int, far: Far, behind: Sequence[str] = ()) -> Found:
    groups = groups_of(inductors(count, size))
    (found,) = find(groups, around(far, behind))
    return found


# --- the brief's vectors ------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "size", "far", "behind", "circuit", "share"),
    [
        (3, 3, {"cpu": 0.06, "graphics": 0.30, "memory": 0.25}, (), "cpu", 0.85),
        (1, 2, {"jack": 0.05, "pack": 0.10, "usb_c": 0.30}, (), "charge", 0.75),
        (
            2,
            2,
            {"controller": 0.09, "pack": 0.22, "jack": 0.30},
            (),
            "standby",
            0.58,
        ),
        (1, 2, {"memory": 0.05, "cpu": 0.22, "chipset": 0.20}, (), "memory", 0.62),
        (
            1,
            2,
            {"chipset": 0.04, "memory": 0.28, "cpu": 0.24},
            ("chipset",),
            "chipset",
            0.56,
        ),
    ],
)
def test_vectors_of_the_brief(
    count: int,
    size: int,
    far: Far,
    behind: Sequence[str],
    circuit: str,
    share: float,
) -> None:
    found = one(count, size, far, behind)
    assert found.is_named
    assert found.circuit == circuit
    assert found.share == pytest.approx(share, abs=0.005)


def test_between_cpu_and_graphics_it_stays_unnamed() -> None:
    found = one(2, 3, {"cpu": 0.11, "graphics": 0.10})
    assert not found.is_named
    (first, share), (second, next_share) = found.best
    assert (first, second) == (Circuit.CPU, Circuit.GRAPHICS)
    assert share == pytest.approx(0.38, abs=0.005)
    assert next_share == pytest.approx(0.36, abs=0.005)


def test_a_marking_in_its_band_speaks_for_a_circuit_and_out_of_it_against() -> None:
    """By 1.4 in the score, so by its exponential in the odds (relation e10)."""

    def odds(uh: float | None) -> dict[Circuit, float]:
        groups = groups_of(inductors(2, uh=uh))
        (found,) = find(groups, around({"controller": 0.09}))
        own = dict(found.shares)
        return {one: own[one] / own[Circuit.UNKNOWN] for one in own}

    fit, unfit, none = odds(microhenries("3R3")), odds(microhenries("R47")), odds(None)
    assert fit[Circuit.STANDBY] == pytest.approx(none[Circuit.STANDBY] * 2.0138, 1e-4)
    assert unfit[Circuit.STANDBY] == pytest.approx(none[Circuit.STANDBY] / 2.0138, 1e-4)
    assert unfit[Circuit.MEMORY] > none[Circuit.MEMORY]


def test_markings_that_disagree_say_nothing_of_a_band_that_holds_one() -> None:
    a, b = inductors(2)
    pair = Group((replace(a, microhenries=3.3), replace(b, microhenries=0.2)))
    plain = scores(Group((a, b)), {}, CIRCUITS)
    marked = scores(pair, {}, CIRCUITS)
    assert marked[Circuit.STANDBY] == plain[Circuit.STANDBY]
    assert marked[Circuit.MEMORY] == pytest.approx(plain[Circuit.MEMORY] - 0.7)


@pytest.mark.parametrize(
    ("mark", "uh"),
    [
        ("R22", 0.22),
        ("2R2", 2.2),
        (" 1r0 ", 1.0),
        ("100", 10.0),
        ("4R7", 4.7),
        ("101", 100.0),
        ("10", 10.0),
        ("000", None),
        ("0", None),
        ("1002", None),
        ("K7", None),
        ("", None),
    ],
)
def test_what_is_printed_on_an_inductor(mark: str, uh: float | None) -> None:
    """R for the decimal mark in µH (relation e10 of the brief), or two digits and a
    power of ten: 100 is 10 µH, 101 is 100 µH (IEC 62025-1 marking, MEMORY)."""
    assert microhenries(mark) == uh


# --- groups -------------------------------------------------------------------


def test_a_row_is_one_group_and_another_look_size_or_side_is_not() -> None:
    row = inductors(4, 3)
    others = [
        replace(row[0], id=10, look="b"),
        replace(row[0], id=11, size=2),
        replace(row[0], id=12, side=BOTTOM),
        replace(row[0], id=13, x=0.9),
    ]
    groups = groups_of([*others, *row])
    assert [[one.id for one in group.members] for group in groups] == [
        [1, 2, 3, 4],
        [10],
        [11],
        [12],
        [13],
    ]
    assert groups[0].centre == pytest.approx((0.5, 0.4))


def test_the_nearest_landmark_of_a_kind_counts() -> None:
    group = Group((inductors()[0],))
    marks = [
        Mark(Landmark.MEMORY, 0.5, 0.7, TOP),
        Mark(Landmark.MEMORY, 0.5, 0.5, BOTTOM),
        Mark(Landmark.MEMORY, 0.5, 0.5, TOP),
        Mark(Landmark.MEMORY, 0.5, 0.9, TOP),
    ]
    found = near(group, marks)[Landmark.MEMORY]
    assert found.distance == pytest.approx(0.1)
    assert not found.is_behind
    assert near(group, marks[:2])[Landmark.MEMORY].is_behind


# --- all groups together ------------------------------------------------------


def clash() -> tuple[tuple[Group, ...], list[Mark]]:
    """Two lone inductors by the memory: one nearer, one also near the chipset."""
    near_one = inductors(x=0.5, first=1)
    other = inductors(x=0.62, first=2, look="b")
    marks = [
        Mark(Landmark.MEMORY, 0.52, 0.4, TOP),
        Mark(Landmark.CHIPSET, 0.75, 0.4, TOP),
    ]
    return groups_of([*near_one, *other]), marks


def test_two_groups_do_not_share_a_circuit_that_serves_one() -> None:
    groups, marks = clash()
    first, second = find(groups, marks)
    assert first.circuit is Circuit.MEMORY
    assert second.circuit is Circuit.CHIPSET
    assert second.shares[0][0] is Circuit.MEMORY
    assert second.is_taken
    assert not second.is_named


def test_a_confirmation_is_fixed_and_closes_its_circuit_to_others() -> None:
    groups, marks = clash()
    first, second = find(groups, marks, confirmed={1: Circuit.MEMORY})
    assert second.is_confirmed
    assert second.is_named
    assert not second.is_taken
    assert second.circuit is Circuit.MEMORY
    assert Circuit.MEMORY not in dict(first.shares)
    assert second.share == pytest.approx(dict(second.shares)[Circuit.MEMORY])
    only = find(groups, marks, confirmed={0: Circuit.CPU, 1: Circuit.CPU})
    assert [one.circuit for one in only] == [Circuit.CPU, Circuit.CPU]


def test_the_cpu_may_have_its_core_and_its_side_rails() -> None:
    core = inductors(3, 3)
    extra = inductors(2, 2, y=0.45, first=9)
    found = find(groups_of([*core, *extra]), around({"cpu": 0.03}))
    assert [one.circuit for one in found] == [Circuit.CPU, Circuit.CPU]


def test_what_the_board_has_not_is_not_offered() -> None:
    groups = groups_of(inductors(2, 3))
    far = around({"cpu": 0.11, "graphics": 0.10})
    without = [one for one in CIRCUITS if one is not Circuit.GRAPHICS]
    (found,) = find(groups, far, circuits=without)
    assert found.circuit is Circuit.CPU
    assert Circuit.GRAPHICS not in dict(found.shares)


def test_far_from_everything_it_is_none_that_we_know() -> None:
    found = one(1, 1, {})
    assert found.shares[0][0] is Circuit.UNKNOWN
    assert not found.is_named
    assert Circuit.UNKNOWN not in dict(found.best)


def test_no_marks_no_groups() -> None:
    assert find((), ()) == ()
    assert assigned([]) == ()


Place = st.floats(0, 1, allow_nan=False, width=32)
SIDES = st.sampled_from(Side)
MARKS = st.lists(
    st.builds(Mark, st.sampled_from(Landmark), Place, Place, SIDES), max_size=8
)
INDUCTORS = st.lists(
    st.builds(
        Inductor,
        st.integers(1, 99),
        Place,
        Place,
        SIDES,
        st.integers(1, 4),
        st.sampled_from("abc"),
        st.one_of(st.none(), st.sampled_from([0.22, 0.68, 1.0, 3.3, 10.0])),
    ),
    max_size=5,
    unique_by=lambda one: one.id,
)


@settings(max_examples=60)
@given(INDUCTORS, MARKS)
def test_no_other_assignment_adds_up_to_more(
    members: list[Inductor], marks: list[Mark]
) -> None:
    """Against every way there is, tried one by one."""
    groups = groups_of(members)
    scored = [scores(group, near(group, marks), CIRCUITS) for group in groups]

    def worth(chosen: Sequence[Circuit]) -> float:
        return sum(own[one] for own, one in zip(scored, chosen, strict=True))

    def is_allowed(chosen: Sequence[Circuit]) -> bool:
        once = [one for one in chosen if one not in SEVERAL | {Circuit.UNKNOWN}]
        return len(once) == len(set(once))

    found = assigned(scored)
    best = max(map(worth, filter(is_allowed, product(Circuit, repeat=len(groups)))))
    assert is_allowed(found)
    assert worth(found) == pytest.approx(best)


def told(found: Sequence[Found]) -> list[tuple[list[int], list[Circuit], list[float]]]:
    return [
        (
            [one.id for one in each.group.members],
            [circuit for circuit, _share in sorted(each.shares)],
            [round(share, 6) for _circuit, share in sorted(each.shares)],
        )
        for each in found
    ]


@settings(max_examples=60)
@given(INDUCTORS, MARKS)
def test_the_order_of_marks_and_the_side_called_top_do_not_matter(
    members: list[Inductor], marks: list[Mark]
) -> None:
    plain = told(find(groups_of(members), marks))
    assert told(find(groups_of(members[::-1]), marks[::-1])) == plain
    turned = {TOP: BOTTOM, BOTTOM: TOP}
    mirrored = find(
        groups_of(replace(one, x=1 - one.x, side=turned[one.side]) for one in members),
        [replace(one, x=1 - one.x, side=turned[one.side]) for one in marks],
    )
    assert all(
        sum(share for _one, share in each.shares) == pytest.approx(1)
        for each in mirrored
    )
    if all(abs(gap - NEIGHBOURS) > 1e-6 for gap in gaps(members)):
        assert told(mirrored) == plain


def gaps(members: Sequence[Inductor]) -> list[float]:
    return [
        ((a.x - b.x) ** 2 + (a.y - b.y) ** 2) ** 0.5 for a in members for b in members
    ]


@given(Place, Place, st.floats(0.5, 2), st.floats(10, 5000))
def test_a_picture_of_any_size_gives_the_same_places(
    x: float, y: float, shape: float, pixels: float
) -> None:
    """And what lies behind a mark, seen from the bottom, has the same place."""
    board, larger = Outline(shape, 1), Outline(shape * pixels, pixels)
    assert larger.place(x, y, TOP) == pytest.approx(board.place(x, y, TOP))
    assert board.place(1 - x, y, BOTTOM) == pytest.approx(board.place(x, y, TOP))


# --- what tells two apart -----------------------------------------------------


@pytest.mark.parametrize(
    ("first", "second", "mode", "points"),
    [
        ("memory", "chipset", "R", ["k15/cs.core", "k14/mem.q"]),
        ("cpu", "memory", "R", ["k17/cpu.core", "k14/mem.q"]),
        ("charge", "standby", "R", ["k11/sb.33", "k06/main"]),
        ("cpu", "graphics", "V", ["k48/cpu.core", "k47/gfx.core"]),
    ],
)
def test_ohms_tell_apart_what_ranks_apart_and_volts_the_rest(
    first: str, second: str, mode: str, points: list[str]
) -> None:
    """The rank of relation e11, by the checks of section 4."""
    board = board_of(load_family("laptop_barrel"))
    found = apart(Circuit(first), Circuit(second))
    assert found == apart(Circuit(second), Circuit(first))
    assert found.mode == mode
    assert [point.id for point in points_of(board, found)] == points


def test_a_rail_without_such_a_check_gives_none() -> None:
    board = board_of(load_family("laptop_barrel"), (), frozenset({"memory"}))
    found = points_of(board, Apart("R", ("cpu.aux", "mem.q")))
    assert found == ()


def test_the_circuits_that_a_board_has() -> None:
    barrel = board_of(load_family("laptop_barrel"))
    assert circuits_of(barrel) == CIRCUITS
    assert rails_of(barrel, Circuit.CHARGE) == ("main", "batt")
    desktop = board_of(load_family("desktop_atx"), (), frozenset({"graphics"}))
    assert Circuit.CHARGE not in circuits_of(desktop)
    assert Circuit.GRAPHICS not in circuits_of(desktop)
