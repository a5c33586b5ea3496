"""The circuit finder: pictures, marks, words on circuits, where checks are taken."""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from PIL import Image

from diagnostics import services
from diagnostics.engine.landmarks_figures import Circuit, Side
from diagnostics.finder import Finding, letter_of, rails_served
from diagnostics.models import (
    BoardMark,
    BoardModel,
    BoardPicture,
    CircuitWord,
)
from shop.people.models import Person
from shop.records.errors import Refused
from tests.diagnostics.marking import Mark, coil, say

# --- marks --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("x", "y"), [(-0.01, 0.5), (0.5, 1.01), (float("nan"), 0.5), (float("inf"), 0.5)]
)
def test_a_mark_outside_the_picture_is_refused(mark: Mark, x: float, y: float) -> None:
    with pytest.raises(Refused, match="outside the picture"):
        mark("cpu", x, y)
    assert not BoardMark.objects.exists()


def test_the_database_itself_holds_marks_inside(
    top: BoardPicture, ines: Person
) -> None:
    with pytest.raises(DatabaseError), transaction.atomic():
        BoardMark.objects.create(picture=top, by=ines, kind="cpu", x=1.2, y=0.5)


@pytest.mark.parametrize(
    ("kind", "more", "field"),
    [
        ("teapot", {}, "kind"),
        ("inductor", {"look": "a"}, "size"),
        ("inductor", {"size": 9, "look": "a"}, "size"),
        ("inductor", {"size": 2, "look": "z"}, "look"),
        ("inductor", {"size": 2, "look": "a", "marking": "LOGO"}, "marking"),
        ("point", {"rail_id": "moon.5"}, "rail_id"),
    ],
)
def test_what_no_mark_can_be_is_refused(
    mark: Mark, kind: str, more: dict[str, object], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        mark(kind, 0.5, 0.5, **more)
    assert refused.value.field == field


def test_two_corners_are_the_board_and_a_third_is_refused(
    mark: Mark, found: Callable[[], Finding]
) -> None:
    """Inside them the same board measures the same, whatever is round it."""
    mark("corner", 0.1, 0.1)
    mark("corner", 0.9, 0.9)
    cpu = mark("cpu", 0.5, 0.5)
    with pytest.raises(Refused, match="Two opposite corners"):
        mark("corner", 0.5, 0.5)
    face = found().faces[Side.TOP]
    assert face.box == (0.1, 0.1, 0.9, 0.9)
    assert face.on_board(cpu) == pytest.approx((0.5, 0.5))
    assert face.in_picture(0.5, 0.5) == pytest.approx((0.5, 0.5))


def test_undo_takes_my_newest_mark_away_and_keeps_its_row(
    mark: Mark, heron: BoardModel, ines: Person, sami: Person
) -> None:
    mine = mark("cpu", 0.4, 0.4)
    theirs = mark("memory", 0.8, 0.4, by=sami)
    assert services.mark_undo(board_model=heron, by=ines) == mine
    mine.refresh_from_db()
    theirs.refresh_from_db()
    assert mine.gone_at
    assert mine.gone_by == ines
    assert theirs.gone_at is None
    assert services.mark_undo(board_model=heron, by=ines) is None


def test_a_mark_behind_counts_at_its_mirrored_place(
    mark: Mark, heron: BoardModel, ines: Person, found: Callable[[], Finding]
) -> None:
    """A landmark right behind an inductor is nearer than one across the board."""
    bottom = services.outline_keep(
        board_model=heron, by=ines, side="bottom", outline="wide"
    )
    coil(mark, 0.2, 0.5)
    mark("chipset", 0.8, 0.5, picture=bottom)
    mark("memory", 0.8, 0.5)
    (group,) = found().groups
    assert group.found.shares[0][0] is Circuit.CHIPSET


def test_letters_go_on_after_z() -> None:
    assert [letter_of(n) for n in (0, 25, 26, 52)] == ["A", "Z", "A2", "A3"]


# --- pictures -----------------------------------------------------------------


def jpeg(width: int = 3000) -> bytes:
    file = BytesIO()
    Image.new("RGB", (width, width // 2), (0, 80, 75)).save(file, "JPEG")
    return file.getvalue()


def test_a_photo_becomes_the_models_picture_once_it_was_looked_at(
    heron: BoardModel, ines: Person, photos_folder: Path
) -> None:
    asked: dict[str, Any] = {"board_model": heron, "by": ines, "side": "top"}
    asked["sent"] = jpeg()
    with pytest.raises(Refused, match="customer"):
        services.picture_keep(**asked, is_nothing_personal=False)
    kept = services.picture_keep(**asked, is_nothing_personal=True)
    assert (kept.width, kept.height) == (1500, 750)
    assert (photos_folder / kept.file).exists()
    with pytest.raises(Refused):
        services.picture_keep(**asked | {"sent": b"<svg/>"}, is_nothing_personal=True)


@pytest.mark.parametrize(
    ("side", "outline", "field"), [("edge", "wide", "side"), ("top", "x", "outline")]
)
def test_an_unknown_side_or_outline_is_refused(
    heron: BoardModel, ines: Person, side: str, outline: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        services.outline_keep(board_model=heron, by=ines, side=side, outline=outline)
    assert refused.value.field == field


def test_the_newest_picture_of_a_side_is_in_use(
    row: list[BoardMark],
    heron: BoardModel,
    ines: Person,
    found: Callable[[], Finding],
) -> None:
    assert found().groups
    services.outline_keep(board_model=heron, by=ines, side="top", outline="square")
    assert not found().groups


# --- words --------------------------------------------------------------------


def test_a_confirmation_names_the_group_and_its_rail(
    row: list[BoardMark],
    heron: BoardModel,
    ines: Person,
    found: Callable[[], Finding],
) -> None:
    assert found().groups[0].found.circuit is Circuit.CPU
    say(heron, ines, row, "memory")
    (group,) = found().groups
    assert group.found.is_confirmed
    assert group.found.circuit is Circuit.MEMORY
    assert rails_served(found()) == {"mem.q": [group]}


def test_two_who_disagree_both_stand_and_nobody_wins_silently(
    row: list[BoardMark],
    heron: BoardModel,
    ines: Person,
    sami: Person,
    found: Callable[[], Finding],
) -> None:
    hers = say(heron, ines, row, "cpu")
    his = say(heron, sami, row, "memory")
    (group,) = found().groups
    assert group.is_disputed
    assert not group.found.is_confirmed
    assert group.words == (hers, his)
    assert not rails_served(found())
    stale = say(heron, ines, row, "cpu", settles=hers.pk)
    assert found().groups[0].words == (his, stale)
    settled = say(heron, ines, row, "cpu", settles=his.pk)
    (group,) = found().groups
    assert group.words == (settled,)
    assert group.found.circuit is Circuit.CPU


def test_a_later_word_of_ones_own_replaces_it_and_unknown_takes_it_back(
    row: list[BoardMark],
    heron: BoardModel,
    ines: Person,
    found: Callable[[], Finding],
) -> None:
    say(heron, ines, row, "cpu")
    say(heron, ines, row, "cpu/cpu.aux")
    assert rails_served(found()).keys() == {"cpu.aux"}
    say(heron, ines, row, "unknown")
    assert not found().groups[0].words


def test_nobody_can_settle_what_is_said_later(
    row: list[BoardMark],
    heron: BoardModel,
    ines: Person,
    sami: Person,
    found: Callable[[], Finding],
) -> None:
    say(heron, ines, row, "cpu", settles=10**12)
    say(heron, sami, row, "memory")
    assert found().groups[0].is_disputed


def test_a_word_needs_the_group_as_it_stands(
    row: list[BoardMark], heron: BoardModel, ines: Person
) -> None:
    services.mark_take_away(mark=row[0], by=ines)
    for marks, what, why in (
        (row, "cpu", "changed meanwhile"),
        ([], "cpu", "changed meanwhile"),
        (row[1:], "toaster", "what the group serves"),
        (row[1:], "cpu/mem.q", "another circuit"),
    ):
        with pytest.raises(Refused, match=why):
            say(heron, ines, marks, what)
    assert not CircuitWord.objects.exists()


def test_words_are_never_changed(
    row: list[BoardMark], heron: BoardModel, ines: Person
) -> None:
    word = say(heron, ines, row, "cpu")
    with pytest.raises(DatabaseError), transaction.atomic():
        CircuitWord.objects.filter(pk=word.pk).update(circuit="memory")


def test_rails_of_confirmed_groups(
    row: list[BoardMark],
    mark: Mark,
    heron: BoardModel,
    ines: Person,
    found: Callable[[], Finding],
) -> None:
    """The larger group by the CPU is the core, the other its side rails."""
    aux = coil(mark, 0.5, 0.45, look="b")
    pair = [coil(mark, 0.2 + n * 0.04, 0.8, look="c") for n in range(2)]
    say(heron, ines, [aux], "cpu")
    say(heron, ines, row, "cpu")
    say(heron, ines, pair, "standby")
    served = {
        rail: [g.letter for g in gs] for rail, gs in rails_served(found()).items()
    }
    assert served == {
        "cpu.core": ["A"],
        "cpu.aux": ["B"],
        "sb.33": ["C"],
        "sb.5": ["C"],
    }
