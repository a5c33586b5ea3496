"""The circuit finder: pictures, marks, words on circuits, where checks are taken."""

import re
from collections.abc import Callable
from html import unescape
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse
from PIL import Image

from diagnostics import queries, services, where
from diagnostics.engine.landmarks_figures import Circuit, Side
from diagnostics.finder import Finding, finding_of, letter_of, rails_served
from diagnostics.models import (
    Board,
    BoardMark,
    BoardModel,
    BoardPicture,
    CircuitWord,
)
from diagnostics.place import Place
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from tests.samples import photo_of

Mark = Callable[..., BoardMark]


@pytest.fixture
def top(heron: BoardModel, ines: Person) -> BoardPicture:
    return services.outline_keep(board_model=heron, by=ines, side="top", outline="wide")


@pytest.fixture
def mark(top: BoardPicture, ines: Person) -> Mark:
    def set_mark(kind: str, x: float, y: float, **more: Any) -> BoardMark:
        asked: dict[str, Any] = {
            "picture": top,
            "by": ines,
            "kind": kind,
            "x": x,
            "y": y,
        }
        return services.mark_set(**asked | more)

    return set_mark


def coil(mark: Mark, x: float, y: float, size: int = 2, **more: object) -> BoardMark:
    return mark("inductor", x, y, **{"size": size, "look": "a"} | more)


@pytest.fixture
def row(mark: Mark) -> list[BoardMark]:
    """Three large inductors in a row by the CPU, and one by the memory."""
    mark("cpu", 0.4, 0.4)
    mark("memory", 0.8, 0.4)
    return [coil(mark, 0.36 + n * 0.04, 0.32, 3) for n in range(3)]


@pytest.fixture
def found(heron: BoardModel, board: Board) -> Callable[[], Finding]:
    return lambda: finding_of(heron, queries.engine_board(board))


def say(
    model: BoardModel, by: Person, marks: list[BoardMark], what: str, **more: Any
) -> CircuitWord:
    circuit, _slash, rail = what.partition("/")
    return services.circuit_say(
        board_model=model,
        by=by,
        marks=[one.pk for one in marks],
        circuit=circuit,
        rail_id=rail,
        **more,
    )


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


# --- where --------------------------------------------------------------------


def shown(place: Place, point_id: str) -> dict[str, Any] | None:
    known = queries.known_of(place.board)
    point = known.board.point(point_id)
    return where.of(place, known, point, known.board.check(point.check).mode)


@pytest.fixture
def place(job: Ticket, board: Board) -> Place:
    return Place(job, board)


def test_without_a_mark_the_card_offers_to_set_one(place: Place) -> None:
    told = shown(place, "k17/cpu.core")
    assert told
    assert told["picture"] is None
    assert "tool=point&rail=cpu.core" in str(told["mark_url"])
    assert shown(place, "k04/leads") is None


def test_a_confirmed_group_shows_where_both_probes_go(
    row: list[BoardMark], mark: Mark, heron: BoardModel, ines: Person, place: Place
) -> None:
    mark("ground", 0.45, 0.2)
    say(heron, ines, row, "cpu")
    told = shown(place, "k17/cpu.core")
    assert told
    assert told["words"] == ["One of the 3 inductors of group A, by the CPU."]
    picture = told["picture"]
    rings = [(ring["is_red"], ring["text"]) for ring in picture["rings"]]
    assert rings == [(True, "red"), (False, "black: ground")]
    assert all(0 <= float(ring["x"]) <= where.WIDTH for ring in picture["rings"])
    assert all(0 <= float(ring["y"]) <= where.HEIGHT for ring in picture["rings"])


def test_a_far_ground_is_told_in_words(mark: Mark, place: Place, ines: Person) -> None:
    mark("ground", 0.95, 0.95)
    mark("point", 0.05, 0.05, rail_id="main")
    told = shown(place, "k06/main")
    assert told
    assert told["words"] == ["Marked on the picture, at A1."]
    assert [ring["text"] for ring in told["picture"]["rings"]] == ["red"]
    assert told["picture"]["in_words"] == ["Black: ground."]


def test_across_a_part_red_and_black_have_each_their_rail(
    row: list[BoardMark], mark: Mark, heron: BoardModel, ines: Person, place: Place
) -> None:
    mark("point", 0.3, 0.3, rail_id="main")
    say(heron, ines, row, "cpu")
    told = shown(place, "k18/cpu.phase1")
    assert told
    rings = told["picture"]["rings"]
    assert [(one["is_red"], one["text"]) for one in rings] == [
        (True, "red"),
        (False, "black"),
    ]
    assert float(rings[0]["x"]) < float(rings[1]["x"])


# --- pages --------------------------------------------------------------------


def sent(client: Client, name: str, model: BoardModel, **form: Any) -> Any:
    url = reverse(f"diagnostics:circuits_{name}", args=[model.pk])
    return client.post(url, {"idempotency_key": uuid4().hex, **form})


def page(client: Client, place: Place, **state: str) -> str:
    args = [place.number, place.board.pk]
    body = client.get(reverse("diagnostics:circuits", args=args), state)
    assert body.status_code == 200
    return re.sub(r"\s+", " ", unescape(body.content.decode()))


def test_from_an_empty_page_to_a_confirmed_group(
    at_bench: Client, heron: BoardModel, place: Place
) -> None:
    back = {"number": place.number, "board": str(place.board.pk)}
    assert "An empty outline" in page(at_bench, place)
    sent(at_bench, "outline", heron, side="top", outline="wide", **back)
    for x in (0.36, 0.4, 0.44):
        sent(
            at_bench,
            "mark",
            heron,
            **back,
            tool="inductor",
            kind="inductor",
            x=x,
            y=0.32,
            size=3,
            look="a",
        )
    sent(at_bench, "mark", heron, **back, tool="landmark", kind="cpu", cell="D3")
    text = page(at_bench, place)
    assert "1 group found." in text
    assert "1 landmarks, 3 inductors" in text
    assert "3 alike, 7 to 10 mm, by the CPU." in text
    marks = re.search(r'name="marks" value="([\d,]+)"', text)
    assert marks
    answer = sent(
        at_bench, "say", heron, **back, marks=marks[1], circuit="cpu/cpu.core"
    )
    assert answer["Location"].startswith(f"/bench/{place.number}/")
    assert "Confirmed by Ines Okafor" in page(at_bench, place)
    card = at_bench.get(place.url(check="k17")).content.decode()
    assert "One of the 3 inductors of group A, by the CPU." in card


def test_a_refused_mark_says_why_and_keeps_what_was_chosen(
    at_bench: Client, top: BoardPicture, heron: BoardModel
) -> None:
    asked = {"tool": "inductor", "kind": "inductor", "size": 3, "look": "b"}
    for place, why in (
        ({"x": 1.5, "y": 0.5}, "outside the picture"),
        ({"cell": "Z9"}, "A cell is A to H"),
        ({}, "Tap the picture, or name a cell."),
        ({"x": "nan", "y": "0.5"}, "Enter a number."),
    ):
        answer = sent(at_bench, "mark", heron, **asked, **place)
        text = answer.content.decode()
        assert answer.status_code == 422
        assert why in text
        assert re.search(r'name="size" value="3"[^>]*checked', text)
    assert not BoardMark.objects.exists()


def test_a_dispute_is_shown_with_both_words_and_settled_by_one_tap(
    at_bench: Client,
    row: list[BoardMark],
    heron: BoardModel,
    ines: Person,
    sami: Person,
    place: Place,
) -> None:
    say(heron, ines, row, "cpu")
    say(heron, sami, row, "memory")
    text = page(at_bench, place)
    assert "Ines Okafor says CPU" in text
    assert "Sami Aalto says memory" in text
    assert "Two words stand here. Which is it?" in text
    settles = re.search(r'name="settles" value="(\d+)"', text)
    assert settles
    marks = ",".join(str(one.pk) for one in row)
    sent(at_bench, "say", heron, marks=marks, circuit="memory", settles=settles[1])
    assert "Confirmed by Ines Okafor" in page(at_bench, place)


def test_a_mark_set_from_a_check_leads_back_to_it(
    at_bench: Client, top: BoardPicture, heron: BoardModel, place: Place
) -> None:
    state = {"tool": "point", "check": "k06", "point": "k06/main"}
    text = page(at_bench, place, rail="main", **state)
    assert '<option value="main" selected>' in text
    back = {"number": place.number, "board": str(place.board.pk)}
    asked = {"kind": "point", "rail_id": "main", "x": 0.2, "y": 0.2}
    answer = sent(at_bench, "mark", heron, **back, **state, **asked)
    assert answer["Location"] == place.url(check="k06", point="k06/main")


def test_an_unclear_group_says_which_check_separates(
    at_bench: Client, mark: Mark, place: Place
) -> None:
    mark("chipset", 0.5, 0.5)
    mark("memory", 0.6, 0.5)
    coil(mark, 0.55, 0.5)
    text = page(at_bench, place)
    assert "A needs a reading." in text
    assert "Resistance to ground tells them apart" in text
    assert place.url(check="k14", point="k14/mem.q") in text


def test_a_photo_of_the_ticket_may_be_taken_over(
    at_bench: Client,
    heron: BoardModel,
    place: Place,
    ines: Person,
    photos_folder: Path,
) -> None:
    assert place.ticket
    photo = photo_of(place.ticket, ines, "board_top")
    back = {"number": place.number, "board": str(place.board.pk)}
    assert f'name="kept" value="{photo.pk}"' in page(at_bench, place)
    refused = sent(at_bench, "picture", heron, **back, side="top", kept=photo.pk)
    assert "Look at it first" in unescape(refused.content.decode())
    sent(
        at_bench,
        "picture",
        heron,
        **back,
        side="top",
        kept=photo.pk,
        is_nothing_personal="on",
    )
    picture = BoardPicture.objects.get()
    served = at_bench.get(reverse("diagnostics:picture", args=[picture.pk]))
    assert served["Content-Type"] == "image/jpeg"
    assert "private" in served["Cache-Control"]


def test_the_owner_looks_at_a_models_circuits_without_tools(
    client: Client, marit: Person, row: list[BoardMark], heron: BoardModel
) -> None:
    client.force_login(marit)
    url = reverse("diagnostics:model_circuits", args=[heron.pk])
    text = client.get(url, {"tool": "inductor"}).content.decode()
    assert "1 group found." in text
    assert "Mark inductor" not in text
    assert (
        client.post(reverse("diagnostics:circuits_undo", args=[heron.pk])).status_code
        == 403
    )


def test_a_board_of_another_model_is_no_way_in(
    at_bench: Client, heron: BoardModel, ines: Person, place: Place
) -> None:
    other = services.board_model_keep(
        shop=heron.shop, by=ines, number="OTHER-1", family="laptop_barrel"
    )
    back = {"number": place.number, "board": str(place.board.pk)}
    answer = sent(at_bench, "undo", other, **back)
    assert answer.status_code == 404
