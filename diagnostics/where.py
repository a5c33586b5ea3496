"""Where a check is taken: a cut-out of the board's picture, and the place in words.

A rail's own mark says it, else the group of inductors that a technician confirmed for
it. Shown beside the check's lines; without a picture or a mark the words of the family
stand alone.
"""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from diagnostics import finder_words as words
from diagnostics.bridge import Known
from diagnostics.engine.family import Point
from diagnostics.finder import (
    Face,
    Finding,
    GroupSeen,
    cell_of,
    finding_of,
    rails_served,
)
from diagnostics.finder_drawing import OUTLINES
from diagnostics.models import BoardMark, BoardOutline, Polarity
from diagnostics.place import Place, with_query

WIDTH, HEIGHT = 216.0, 152.0  # of the cut-out, in pixels
SHOWN = 0.34  # of the picture's width
MOST = 0.62  # where both probes shall be seen
ROOM = 80.0  # pixels round the probes
PROBED = frozenset("VRDC")
Where = dict[str, Any]


@dataclass(frozen=True)
class Aim:
    """A place on a side, in parts of its picture, and what it is in words."""

    face: Face
    x: float
    y: float
    text: str


@dataclass(frozen=True)
class Probe:
    is_red: bool
    spot: Aim | None
    text: str


def of(place: Place, known: Known, point: Point, mode: str) -> Where | None:
    """What the card shows of the place; ``None`` where no rail is probed."""
    rails = point.pair or ((point.rail,) if point.rail else ())
    if not rails or mode not in PROBED:
        return None
    finding = finding_of(place.board.board_model, known.board)
    spots = [spot_of(finding, rail) for rail in rails]
    first = next((one for one in spots if one), None)
    shown: Where = {
        "mark_url": mark_url(place, point, rails[0]),
        "finder_url": finder_url(place, point),
        "words": [capfirst(one.text) + "." for one in spots if one],
    }
    if first is None:
        return {**shown, "picture": None}
    return {**shown, "picture": cut_out(first, probes(finding, point, spots, first))}


def finder_url(place: Place, point: Point, **more: str) -> str:
    page = reverse("diagnostics:circuits", args=[place.number, place.board.pk])
    return with_query(page, {"check": point.check, "point": point.id, **more})


def mark_url(place: Place, point: Point, rail: str) -> str:
    return finder_url(place, point, tool="point", rail=rail)


def spot_of(finding: Finding, rail: str) -> Aim | None:
    """The rail's newest own mark, else its confirmed group's middle inductor."""
    for face in finding.faces.values():
        own = [
            mark
            for mark in face.marks
            if mark.kind == BoardMark.Kind.POINT and mark.rail_id == rail
        ]
        if own:
            x, y = own[-1].x, own[-1].y
            text = _("marked on the picture, at %(cell)s")
            return Aim(face, x, y, text % {"cell": cell_of(x, y)})
    served = rails_served(finding).get(rail)
    return of_group(finding, served[0]) if served else None


def of_group(finding: Finding, one: GroupSeen) -> Aim:
    x = sum(mark.x for mark in one.marks) / len(one.marks)
    y = sum(mark.y for mark in one.marks) / len(one.marks)
    middle = min(one.marks, key=lambda mark: (mark.x - x) ** 2 + (mark.y - y) ** 2)
    where = words.place(finding, one)
    return Aim(one.face, middle.x, middle.y, words.inductors_of(one, where))


def probes(
    finding: Finding, point: Point, spots: list[Aim | None], first: Aim
) -> list[Probe]:
    """Red and black, each with its place if it is on the picture."""
    if point.pair:
        near = [spot if spot and spot.face is first.face else None for spot in spots]
        texts = [_("red"), _("black")]
        if point.polarity == Polarity.RED_ON_GROUND:
            near.reverse()
        return [Probe(True, near[0], texts[0]), Probe(False, near[1], texts[1])]
    ground = ground_of(first)
    text = _("ground") if ground else _("ground: a screw ring or a shield")
    if point.polarity == Polarity.RED_ON_GROUND:
        return [
            Probe(False, first, _("black")),
            Probe(True, ground, _("red: %(where)s") % {"where": text}),
        ]
    return [
        Probe(True, first, _("red")),
        Probe(False, ground, _("black: %(where)s") % {"where": text}),
    ]


def ground_of(spot: Aim) -> Aim | None:
    """The nearest ground marked on the same picture."""
    face = spot.face
    found = [mark for mark in face.marks if mark.kind == BoardMark.Kind.GROUND]
    if not found:
        return None
    tall = face.picture.height / face.picture.width

    def far(mark: BoardMark) -> float:
        return (mark.x - spot.x) ** 2 + ((mark.y - spot.y) * tall) ** 2

    nearest = min(found, key=far)
    return Aim(face, nearest.x, nearest.y, "")


# --- the cut-out --------------------------------------------------------------


def cut_out(first: Aim, probed: list[Probe]) -> Where:
    """The picture shifted and sized behind a window, and the rings over it."""
    picture = first.face.picture
    scale = scale_of(first, probed)
    tall = scale * picture.height / picture.width
    seen = [
        probe.spot
        for probe in probed
        if probe.spot is not None and fits(first, probe.spot, scale)
    ]
    x = sum(spot.x for spot in seen) / len(seen)
    y = sum(spot.y for spot in seen) / len(seen)
    left = within(x * scale - WIDTH / 2, scale - WIDTH)
    top = within(y * tall - HEIGHT / 2, tall - HEIGHT)
    rings = [
        ring(probe, probe.spot.x * scale - left, probe.spot.y * tall - top)
        for probe in probed
        if probe.spot is not None and probe.spot in seen
    ]
    return {
        "url": reverse("diagnostics:picture", args=[picture.pk])
        if picture.name
        else "",
        "outline": OUTLINES[BoardOutline(picture.outline)] if picture.outline else "",
        "view": f"0 0 {picture.width} {picture.height}",
        "width": f"{WIDTH:.0f}",
        "height": f"{HEIGHT:.0f}",
        "image": {
            "x": f"{-left:.1f}",
            "y": f"{-top:.1f}",
            "width": f"{scale:.1f}",
            "height": f"{tall:.1f}",
        },
        "rings": rings,
        "in_words": [
            capfirst(probe.text) + "." for probe in probed if probe.spot not in seen
        ],
        "side": picture.get_side_display(),
    }


def scale_of(first: Aim, probed: list[Probe]) -> float:
    """How wide the whole picture is drawn: close by, or so that both probes show."""
    picture = first.face.picture
    tall = picture.height / picture.width
    wanted = SHOWN
    for probe in probed:
        if probe.spot is not None:
            across = abs(probe.spot.x - first.x)
            down = abs(probe.spot.y - first.y) * tall
            needs = max(
                across * WIDTH / (WIDTH - ROOM),
                down * WIDTH / (HEIGHT - ROOM),
            )
            wanted = max(wanted, needs) if needs <= MOST else wanted
    return max(WIDTH / wanted, WIDTH, HEIGHT / tall)


def fits(first: Aim, spot: Aim, scale: float) -> bool:
    """Whether both are seen in one cut-out, each with its ring."""
    if spot.face is not first.face:
        return False
    tall = scale * first.face.picture.height / first.face.picture.width
    across = abs(spot.x - first.x) * scale
    down = abs(spot.y - first.y) * tall
    return across <= WIDTH - 40 and down <= HEIGHT - 60


def within(start: float, most: float) -> float:
    return min(max(start, 0.0), max(most, 0.0))


def ring(probe: Probe, x: float, y: float) -> Where:
    """A ring and its label, beside it where there is room, else below or above it."""
    wide = 14 + 7.7 * len(probe.text)
    left, top = (x + 18 if x + 18 + wide <= WIDTH else x - 18 - wide), y - 12
    if left < 2:
        left, top = x - wide / 2, y + 18 if y + 44 <= HEIGHT else y - 42
    return {
        "x": f"{x:.1f}",
        "y": f"{y:.1f}",
        "is_red": probe.is_red,
        "text": probe.text,
        "wide": f"{wide:.0f}",
        "label_x": f"{min(max(left, 2.0), WIDTH - 2 - wide):.1f}",
        "label_y": f"{min(max(top, 2.0), HEIGHT - 26):.1f}",
    }
