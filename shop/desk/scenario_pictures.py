"""A board drawn from a story's figures, kept and marked as by technicians."""

from collections.abc import Mapping, Sequence
from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw

from diagnostics import services as bench
from diagnostics.models import BoardMark, BoardModel, BoardPicture
from shop.desk.telling import Telling

TABLE, BOARD, EDGE = "#1a252b", "#27414a", "#7d9aa3"
DARK, GREY, CREAM, LIGHT = "#0d1418", "#7d7b76", "#cfc8b4", "#a9acab"
COIL = {1: 40, 2: 56, 3: 78, 4: 104}  # pixels by size class
LOOKS = {"a": "#7d7b76", "b": "#3a3d40", "c": "#8d7a55", "d": "#5b6b6e"}
Data = Mapping[str, Any]


def tell(telling: Telling, pictures: Mapping[str, Data]) -> None:
    """Pictures by board number and side, with their marks and words."""
    for number, data in pictures.items():
        model = telling.shop.board_models.get(number=number)
        for side in ("top", "bottom"):
            _side(telling, model, side, data[side])
        for word in data["words"]:
            _word(telling, model, word)


def _side(telling: Telling, model: BoardModel, side: str, data: Data) -> None:
    by, at = telling.people[data["by"]], telling.at(data)
    picture = bench.picture_keep(
        board_model=model,
        by=by,
        side=side,
        sent=drawn(data),
        is_nothing_personal=True,
        at=at,
    )

    def mark(place: Sequence[float], kind: str, **more: Any) -> None:
        x, y = place[0] / data["size"][0], place[1] / data["size"][1]
        bench.mark_set(picture=picture, by=by, kind=kind, x=x, y=y, at=at, **more)

    for kind, places in data["marks"].items():
        for place in places:
            mark(place, kind)
    for *place, size, look, marking in data["inductors"]:
        mark(place, "inductor", size=size, look=look, marking=marking)
    for rail, place in data.get("rails", {}).items():
        mark(place, "point", rail_id=rail)


def _word(telling: Telling, model: BoardModel, word: Data) -> None:
    """Said of the inductors that are like the one at this place."""
    side, x, y = word["at"]
    picture = BoardPicture.objects.get(board_model=model, side=side)
    marks = BoardMark.objects.filter(picture=picture, kind="inductor")
    near = min(marks, key=lambda one: _far(one, x / picture.width, y / picture.height))
    alike = marks.filter(size=near.size, look=near.look, marking=near.marking)
    bench.circuit_say(
        board_model=model,
        by=telling.people[word["by"]],
        marks=[one.pk for one in alike],
        circuit=word["circuit"],
        rail_id=word.get("rail", ""),
        at=telling.at(word),
    )


def _far(mark: BoardMark, x: float, y: float) -> float:
    return (mark.x - x) ** 2 + (mark.y - y) ** 2


# --- drawing ------------------------------------------------------------------


def drawn(data: Data) -> bytes:
    """The board as a PNG."""
    image = Image.new("RGB", tuple(data["size"]), TABLE)
    pen = ImageDraw.Draw(image)
    outline = [tuple(corner) for corner in data["outline"]]
    pen.polygon(outline, fill=BOARD)
    pen.line([*outline, outline[0]], fill=EDGE, width=4, joint="curve")
    for what, *box in data["parts"]:
        _part(pen, what, *box)
    for x, y, size, look, _marking in data["inductors"]:
        _coil(pen, x, y, COIL[size], LOOKS[look])
    file = BytesIO()
    image.save(file, "PNG")
    return file.getvalue()


def _box(x: float, y: float, width: float, height: float) -> list[float]:
    return [x - width / 2, y - height / 2, x + width / 2, y + height / 2]


def _part(pen: ImageDraw.ImageDraw, what: str, *place: float) -> None:
    """``place`` is its middle, its width and its height."""
    x, y, width, height = place
    box = _box(x, y, width, height)
    match what:
        case "ring":
            pen.ellipse(box, fill=CREAM)
            pen.ellipse(_box(x, y, width / 2, height / 2), fill=DARK)
        case "cell":
            pen.ellipse(box, fill=LIGHT, outline=CREAM, width=4)
            pen.ellipse(_box(x, y, width * 0.7, height * 0.7), outline=GREY, width=2)
        case "socket":
            pen.rectangle(box, fill=DARK, outline=EDGE, width=2)
            pen.rectangle(_box(x, y, width - 20, 8), fill="#a08f5c")
        case "small":
            pen.rectangle(box, fill=CREAM)
            pen.rectangle(_box(x, y, width * 0.5, height), fill="#6b5a45")
        case "die":
            pen.rectangle(box, fill="#3c4a50", outline=EDGE, width=2)
        case _:
            pen.rectangle(box, fill=DARK, outline="#4a5d65", width=2)


def _coil(pen: ImageDraw.ImageDraw, x: float, y: float, edge: float, fill: str) -> None:
    """A moulded inductor between its two pads."""
    pen.rectangle(_box(x, y, edge * 1.24, edge * 0.5), fill=CREAM)
    pen.rounded_rectangle(_box(x, y, edge, edge), 8, fill=fill, outline=LIGHT, width=2)
