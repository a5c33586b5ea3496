"""What a page of the office is made of: a finding, its picture and its table. PURE.

A section says in a sentence what was found or that there is too little yet; its
definition stands in one line, its table behind a link and as a file. Texts are
in the reader's language already.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from shop.office.drawings import Drawing


class Kind(StrEnum):
    """How the cells of a column are written; amounts are ``Decimal``."""

    TEXT = "text"
    TICKET = "ticket"  # a ticket's number
    COUNT = "count"
    DAYS = "days"
    HOURS = "hours"
    MINUTES = "minutes"
    PERCENT = "percent"  # 0 to 100
    AMOUNT = "amount"
    DATE = "date"


@dataclass(frozen=True)
class Column:
    code: str  # stays the same in every language: it heads the column of a file
    head: str
    kind: Kind


Cell = str | int | float | Decimal | date | datetime | None  # None: too few yet


@dataclass(frozen=True)
class Table:
    """``rows`` are as wide as ``columns``."""

    columns: Sequence[Column]
    rows: Sequence[Sequence[Cell]]

    def __post_init__(self) -> None:
        wide = {len(row) for row in self.rows} - {len(self.columns)}
        if wide:
            raise ValueError(f"rows of {wide} cells under {len(self.columns)} columns")


@dataclass(frozen=True)
class Section:
    """``code`` names it in addresses and files; ``unit`` follows the title softly."""

    code: str
    title: str
    unit: str
    says: str
    means: str
    table: Table
    drawing: Drawing | None = None
