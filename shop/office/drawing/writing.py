"""Shapes as SVG: inks as classes on screen, as colours on paper.

On screen the theme and forced colours decide; WeasyPrint applies no page style
inside inline SVG. Names and labels are people's texts: all words are escaped.
"""

from collections.abc import Iterable
from functools import singledispatch

from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

from shop.office.drawing.lettering import SIZE
from shop.office.drawing.shapes import (
    Area,
    Disc,
    Lines,
    Picture,
    Point,
    Rect,
    Shape,
    Text,
)
from shop.records.templatetags.marks import PAPER

FACE = "Atkinson Hyperlegible, Atkinson Extended, Coldrail Signs, sans-serif"
ON_PAPER = PAPER | {"ink-soft": "#36444f", "hair": "#cbc5b4", "sheet": "#ffffff"}


def svg(picture: Picture, title: str, kind: str, *, paper: bool) -> SafeString:
    """The picture; ``title`` says what it shows to who can't see it."""
    size = f'width="{_n(picture.width)}" height="{_n(picture.height)}"'
    view = f'viewBox="0 0 {_n(picture.width)} {_n(picture.height)}"'
    face = f' font-family="{FACE}"' if paper else ""
    shapes = "".join(_element(shape, paper) for shape in picture.shapes)
    return mark_safe(  # noqa: S308  words are escaped, all else are numbers and names
        f'<svg class="figure figure-{kind}" {size} {view} role="img"'
        f' xmlns="http://www.w3.org/2000/svg"><title>{conditional_escape(title)}'
        f'</title><g font-size="{_n(SIZE)}"{face}>{shapes}</g></svg>'
    )


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _paint(paper: bool, *, fill: str = "", edge: str = "") -> str:
    if paper:
        inks = (("fill", fill), ("stroke", edge))
        return " ".join(
            f'{what}="{ON_PAPER[ink] if ink else "none"}"' for what, ink in inks
        )
    names = [f"f-{fill}"] if fill else ["f-none"]
    names += [f"s-{edge}"] if edge else []
    return f'class="{" ".join(names)}"'


def _stroke(thick: float, dash: str = "", *, is_round: bool = False) -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    ends = ' stroke-linecap="round"' if is_round else ""
    return f'stroke-width="{_n(thick)}"{dashed}{ends}'


def _path(lines: Iterable[Iterable[Point]], end: str = "") -> str:
    return "".join(
        "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in line) + end for line in lines
    )


@singledispatch
def _element(shape: Shape, _paper: bool) -> str:
    raise TypeError(shape)


@_element.register
def _rect(shape: Rect, paper: bool) -> str:
    at = f'x="{_n(shape.x)}" y="{_n(shape.y)}"'
    size = f'width="{_n(shape.width)}" height="{_n(shape.height)}"'
    edge = f" {_stroke(shape.thick, shape.dash)}" if shape.edge else ""
    paint = _paint(paper, fill=shape.fill, edge=shape.edge)
    return f"<rect {at} {size} {paint}{edge}/>"


@_element.register
def _lines(shape: Lines, paper: bool) -> str:
    stroke = _stroke(shape.thick, shape.dash, is_round=shape.is_round)
    paint = _paint(paper, edge=shape.ink)
    return f'<path d="{_path(shape.lines)}" {paint} {stroke}/>'


@_element.register
def _area(shape: Area, paper: bool) -> str:
    paint = _paint(paper, fill=shape.fill)
    return f'<path d="{_path([shape.points], "Z")}" {paint}/>'


@_element.register
def _disc(shape: Disc, paper: bool) -> str:
    at = f'cx="{_n(shape.x)}" cy="{_n(shape.y)}" r="{_n(shape.radius)}"'
    edge = f" {_stroke(shape.thick)}" if shape.edge else ""
    return f"<circle {at} {_paint(paper, fill=shape.fill, edge=shape.edge)}{edge}/>"


@_element.register
def _text(shape: Text, paper: bool) -> str:
    bold = ' font-weight="700"' if shape.bold else ""
    at = f'x="{_n(shape.x)}" y="{_n(shape.y)}" text-anchor="{shape.anchor}"'
    words = conditional_escape(shape.words)
    return f"<text {at}{bold} {_paint(paper, fill=shape.ink)}>{words}</text>"
