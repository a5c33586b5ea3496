"""An entry of the journal: a day, what it is of, and lines that balance. PURE."""

from dataclasses import dataclass
from datetime import date


class Unbalanced(ValueError):
    """Debit and credit of an entry differ: a fault of ours, never written."""


@dataclass(frozen=True)
class Line:
    """An amount on an account, in minor units: debit above zero, credit below."""

    account: str
    minor: int


@dataclass(frozen=True)
class Entry:
    """``kind`` is what was booked, ``paper`` its number or mark."""

    day: date
    kind: str
    paper: str
    currency: str
    lines: tuple[Line, ...]

    def __post_init__(self) -> None:
        if sum(line.minor for line in self.lines):
            raise Unbalanced(f"{self.kind} {self.paper}: {self.lines}")


def lines_of(*pairs: tuple[str, int]) -> tuple[Line, ...]:
    """Lines of accounts and amounts, without those of nothing.

    >>> lines_of(("cash", 500), ("rounding", 0), ("receivables", -500))
    (Line(account='cash', minor=500), Line(account='receivables', minor=-500))
    """
    return tuple(Line(account, minor) for account, minor in pairs if minor)
