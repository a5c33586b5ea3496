"""Where a check is taken: the cut-out of the picture, and the place in words."""

from typing import Any

from diagnostics import queries, where
from diagnostics.models import (
    BoardMark,
    BoardModel,
)
from diagnostics.place import Place
from shop.people.models import Person
from tests.diagnostics.marking import Mark, say


def shown(place: Place, point_id: str) -> dict[str, Any] | None:
    known = queries.known_of(place.board)
    point = known.board.point(point_id)
    return where.of(place, known, point, known.board.check(point.check).mode)


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
