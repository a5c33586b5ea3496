"""A section's picture in both its widths, its key, and its cells in words."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django import template
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from shop.office import keys
from shop.office.drawing.draw import NARROW, WIDE, drawn
from shop.office.drawing.writing import svg
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.shown import date_format, figures

register = template.Library()
WIDTHS = {"wide": WIDE, "narrow": NARROW}
PLACES = {Kind.DAYS: 1, Kind.HOURS: 1, Kind.MINUTES: 0, Kind.PERCENT: 0}
TEXTS = {Kind.TEXT, Kind.TICKET, Kind.DATE}


@register.simple_tag
def picture(section: Section, size: str, *, paper: bool = False) -> SafeString:
    """The drawing as SVG; what it finds is what a screen reader reads out."""
    if section.drawing is None:
        return SafeString("")
    title = f"{section.title}. {section.says}"
    laid_out = drawn(section.drawing, WIDTHS[size], keys.says())
    return svg(laid_out, title, size, paper=paper)


@register.filter
def drawing_key(section: Section) -> str:
    return "" if section.drawing is None else keys.key(section.drawing)


@register.filter
def is_figure(column: Column) -> bool:
    """Whether the column is aligned at the right."""
    return column.kind not in TEXTS


@dataclass(frozen=True)
class Shown:
    """A cell as it is read."""

    words: str
    is_first: bool
    is_figure: bool
    url: str


@register.filter
def rows(table: Table) -> list[list[Shown]]:
    """The rows in the reader's language; a ticket's number leads to it."""
    return [
        [
            _shown(cell, column, is_first=place == 0)
            for place, (cell, column) in enumerate(zip(row, table.columns, strict=True))
        ]
        for row in table.rows
    ]


def _shown(cell: Cell, column: Column, *, is_first: bool) -> Shown:
    is_ticket = column.kind == Kind.TICKET and cell
    url = reverse("desk:ticket", args=[cell]) if is_ticket else ""
    return Shown(cell_words(cell, column), is_first, is_figure(column), url)


def cell_words(cell: Cell, column: Column) -> str:
    """A cell as the reader's language writes it."""
    if cell is None:
        return _("too few yet") if is_figure(column) else ""
    if isinstance(cell, datetime):
        return date_format(timezone.localtime(cell), "j M Y, H:i")
    if isinstance(cell, date):
        return date_format(cell, "j M Y")
    if isinstance(cell, str):
        return cell
    return figures(keys.signed(cell, _places(cell, column)))


def _places(cell: float | Decimal, column: Column) -> int:
    if isinstance(cell, Decimal):
        return max(0, -int(cell.as_tuple().exponent))
    return 0 if isinstance(cell, int) else PLACES.get(column.kind, 1)
