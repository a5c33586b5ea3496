"""Cells of a table that we write: never live in a spreadsheet. PURE.

A spreadsheet runs a cell that begins with one of these signs (OWASP, "CSV Injection").
An apostrophe before it makes it text.
"""

import csv
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

LIVE = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", "|", "%")


def defused(text: str) -> str:
    r"""The text, harmless to open.

    >>> defused("=1+1"), defused(" @SUM(A1)"), defused("Ada Pell")
    ("'=1+1", "' @SUM(A1)", 'Ada Pell')
    """
    plain = text.replace("\0", "")
    return f"'{plain}" if plain.lstrip(" \u00a0").startswith(LIVE) else plain


def written(cell: object) -> object:
    """A cell as it is written: a text defused, a number as it is.

    >>> written(Decimal("-4.20")), written("-4.20")
    ('-4.20', "'-4.20")
    """
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    return cell if isinstance(cell, (int, float)) else defused(str(cell))


def table(rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV, every text of them defused, numbers as they are."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([written(cell) for cell in row])
    return out.getvalue()
