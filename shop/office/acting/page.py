"""The first screen as it is drawn: some rows of each list, or one list by the page."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import QueryDict

from shop.intake.turn import Whose
from shop.office.acting import words
from shop.office.acting.lists import Code, Entry, Lists, lists
from shop.office.acting.rows import Row, rows_of
from shop.people.models import Shop

FEW, MANY = 8, 50
WHOSE = {
    Code.PROMISES: Whose.OURS,
    Code.TO_GO_ON: Whose.OURS,
    Code.UNTOUCHED: Whose.OURS,
    Code.UNANSWERED: Whose.CUSTOMER,
    Code.NOT_COLLECTED: Whose.HANDOVER,
    Code.UNBILLED: Whose.OURS,
    Code.OWED: Whose.CUSTOMER,
}


@dataclass(frozen=True)
class Asked:
    """One list alone and from which row on; ``only`` None: the first of each."""

    only: Code | None = None
    start: int = 0

    def part(self, code: Code, entries: Sequence[Entry]) -> Sequence[Entry]:
        if self.only is None:
            return entries[:FEW]
        return entries[self.start : self.start + MANY] if code == self.only else ()


@dataclass(frozen=True)
class Shown:
    """A list with the rows of it that are shown: ``first`` to ``last`` of ``count``."""

    code: Code
    title: str
    whose: Whose
    rows: Sequence[Row]
    count: int
    first: int

    @property
    def last(self) -> int:
        return self.first + len(self.rows) - 1

    @property
    def is_cut(self) -> bool:
        return len(self.rows) < self.count


@dataclass(frozen=True)
class Page:
    """``nothing`` names the lists that are empty, in their order."""

    sentence: str
    shown: Sequence[Shown]
    nothing: Sequence[str]
    asked: Asked

    @property
    def has_more(self) -> bool:
        return any(one.last < one.count for one in self.shown)

    @property
    def next_start(self) -> int:
        return self.asked.start + MANY


def asked_of(query: QueryDict) -> Asked:
    """What makes no sense is the first screen."""
    name, start = str(query.get("list", "")), str(query.get("from", ""))
    if name not in set(Code):
        return Asked()
    is_number = start.isascii() and start.isdigit() and len(start) < 9
    return Asked(Code(name), int(start) if is_number else 0)


def page_of(
    shop: Shop, now: datetime, *, asked: Asked, at_the_bench: bool = False
) -> Page:
    found = lists(shop, now)
    parts = {code: asked.part(code, entries) for code, entries in found.of.items()}
    rows = rows_of(found, parts, at_the_bench=at_the_bench)
    return Page(
        words.sentence(found),
        [one for code in Code if (one := _shown(code, found, rows, asked)) is not None],
        [] if asked.only else _nothing(found),
        asked,
    )


def _shown(
    code: Code, found: Lists, rows: Mapping[Code, Sequence[Row]], asked: Asked
) -> Shown | None:
    if not rows[code]:
        return None
    return Shown(
        code,
        words.title(code, found.limits),
        WHOSE[code],
        rows[code],
        len(found.of[code]),
        asked.start + 1,
    )


def _nothing(found: Lists) -> list[str]:
    empty = [code for code in Code if not found.of[code]]
    return [words.title(code, found.limits) for code in empty]
