"""The demo's drawn board: kept, marked and named as by technicians."""

import tomllib
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from PIL import Image

from diagnostics import services as bench
from diagnostics.bridge import engine_board
from diagnostics.engine.landmarks_figures import Circuit
from diagnostics.finder import finding_of
from shop.desk import scenario_pictures
from shop.desk.management.commands.demo import PICTURES
from shop.desk.telling import Telling
from shop.people.models import Person, Shop


def test_the_drawn_board_is_marked_and_its_circuits_named(
    hollin_lane: Shop, ines: Person, sami: Person, photos_folder: Path
) -> None:
    model = bench.board_model_keep(
        shop=hollin_lane, by=ines, number="PL15-MB", family="laptop_barrel"
    )
    people = {"ines": ines, "sami": sami}
    telling = Telling(hollin_lane, datetime(2026, 3, 2, 12, 0, tzinfo=UTC), people)
    story = tomllib.loads(PICTURES.read_text(encoding="utf-8"))
    scenario_pictures.tell(telling, story["pictures"])
    board = engine_board("laptop_barrel", {}, frozenset({"graphics"}))
    found = finding_of(model, board).groups
    named = [one.found.circuit for one in found if one.found.is_named]
    assert named == [
        Circuit.CPU,
        Circuit.MEMORY,
        Circuit.STANDBY,
        Circuit.CHARGE,
        Circuit.CHIPSET,
    ]
    confirmed = [one.found.circuit for one in found if one.found.is_confirmed]
    assert confirmed == [Circuit.CPU, Circuit.STANDBY]
    assert [len(one.marks) for one in found] == [4, 1, 1, 2, 1, 1]


def test_a_coil_is_drawn_where_it_is_marked() -> None:
    story = tomllib.loads(PICTURES.read_text(encoding="utf-8"))
    data = story["pictures"]["PL15-MB"]["top"]
    image = Image.open(BytesIO(scenario_pictures.drawn(data))).convert("RGB")
    for x, y, _size, look, _marking in data["inductors"]:
        fill = scenario_pictures.LOOKS[look]
        assert "#{:02x}{:02x}{:02x}".format(*image.getpixel((x, y))) == fill  # type: ignore[misc]
