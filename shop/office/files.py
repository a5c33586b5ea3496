"""A section's table as a file: CSV, or a spreadsheet (ODS)."""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.http import HttpResponse

from shop.office import ods
from shop.office.sections import Cell, Section, Table
from shop.records import cells

# The sign that tells a spreadsheet that the text is UTF-8.
MARK = "\ufeff"
CSV = "text/csv; charset=utf-8"


def answer(section: Section, kind: str, name: str, zone: ZoneInfo) -> HttpResponse:
    body, mime = (
        (csv_of(section.table, zone).encode(), CSV)
        if kind == "csv"
        else (ods.document(section.title, list(rows_of(section.table, zone))), ods.MIME)
    )
    response = HttpResponse(body, content_type=mime)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "no-store"
    return response


def csv_of(table: Table, zone: ZoneInfo) -> str:
    r"""Headed by the columns' codes, amounts and figures with a point, UTF-8."""
    plain = [
        ["" if cell is None else _as_text(cell) for cell in row]
        for row in rows_of(table, zone)
    ]
    return MARK + cells.table(plain)


def rows_of(table: Table, zone: ZoneInfo) -> Iterator[list[Cell]]:
    """The codes, then the rows; moments by the shop's clock."""
    yield [column.code for column in table.columns]
    for row in table.rows:
        yield [
            cell.astimezone(zone).replace(tzinfo=None)
            if isinstance(cell, datetime)
            else cell
            for cell in row
        ]


def _as_text(cell: str | float | Decimal | datetime | object) -> object:
    """What ``cells`` writes as it is: numbers, else a text."""
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ", timespec="minutes")
    return cell
