"""The tickets of a period as columns: those kept closed, and the open ones folded now.

Everything is read with a dozen queries, however many tickets there are.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from shop.intake.models import Ticket
from shop.intake.turn import Whose
from shop.office.asked import Asked
from shop.office.models import TicketDays
from shop.office.turnaround import counting
from shop.office.turnaround.folding import folded
from shop.office.turnaround.split import DAY, Parts, seconds
from shop.office.turnaround.survival import Survival, survival
from shop.people.models import Shop

Seconds = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]
NUMBERS = ("opened", "closed", *Parts._fields, "to_reading", "to_quote")
KEYS = ("is_warranty", "told", "found", "family", "technician_id")
AFTER = (*NUMBERS[2:], *KEYS)
NEVER = 2**62  # when what is open will have been closed, or what did not come came


@dataclass(frozen=True)
class Stays:
    """(n,) each, a ticket a place; moments and spans in whole seconds.

    ``parts``: (n, 6) as in ``Parts``; ``NEVER`` stands where nothing came yet.
    """

    since: int
    until: int
    now: int
    opened: Seconds
    closed: Seconds
    parts: Seconds
    to_reading: Seconds
    to_quote: Seconds
    is_warranty: Flags
    keys: Mapping[str, Sequence[object]]

    @cached_property
    def is_taken_in(self) -> Flags:
        """Within the period, whatever became of them."""
        return (self.since <= self.opened) & (self.opened < self.until)

    @cached_property
    def is_handed_over(self) -> Flags:
        return (self.since <= self.closed) & (self.closed < self.until)

    @cached_property
    def is_closed(self) -> Flags:
        return self.closed <= self.now

    @cached_property
    def took(self) -> "npt.NDArray[np.float64]":
        """Days until closed, or until now."""
        return (np.minimum(self.closed, self.now) - self.opened) / DAY

    def back(self, of: Flags) -> Survival:
        """How soon these were handed over."""
        return survival(self.took[of], self.is_closed[of])

    def first(self, to: Seconds, of: Flags) -> Survival:
        """How soon these had their first reading or quote; see ``counts_for``."""
        is_there = to[of] < NEVER
        waited = (np.minimum(self.closed, self.now) - self.opened)[of]
        return survival(np.where(is_there, to[of], waited) / DAY, is_there)

    def by(self, key: str) -> dict[object, Flags]:
        """Which have the same in one of ``KEYS``, by what stands there."""
        known: dict[object, int] = {}
        values = self.keys[key]
        places = [known.setdefault(value, len(known)) for value in values]
        codes = np.array(places, np.int64)
        return {value: codes == code for value, code in known.items()}


@dataclass(frozen=True)
class Read:
    """The tickets, whose turn the open ones are, and what is not among them."""

    stays: Stays
    ages: list[tuple[Whose, timedelta]]
    left_out: int
    uncounted: counting.Waiting


def read(shop: Shop, asked: Asked) -> Read:
    counting.days_count_some()
    since, until = seconds(asked.since), seconds(asked.until)
    ours = TicketDays.objects.filter(shop=shop)
    kept = ours.filter(closed__gte=since, opened__lt=until)
    rows = list(kept.values_list(*NUMBERS, *KEYS))
    right = [row for row in rows if row[1] >= row[0]]
    ids = list(ours.filter(closed=None).values_list("pk", flat=True))
    waiting = folded(Ticket.objects.filter(pk__in=ids, handover=None), asked.now)
    live = [
        (row.opened, NEVER, *(getattr(row, column) for column in AFTER))
        for row, _turn in waiting
    ]
    return Read(
        stays=_columns([*right, *live], since, until, seconds(asked.now)),
        ages=[(turn.whose, turn.age) for _row, turn in waiting],
        left_out=len(rows) - len(right),
        uncounted=counting.uncounted(shop),
    )


def _columns(rows: Sequence[Any], since: int, until: int, now: int) -> Stays:
    width = len(NUMBERS) + len(KEYS)
    columns = list(zip(*rows, strict=True)) or [()] * width
    opened, closed, *parts = (np.array(one, np.int64) for one in columns[:8])
    to_reading, to_quote = (_or_never(one) for one in columns[8:10])
    keys = dict(zip(KEYS, columns[len(NUMBERS) :], strict=True))
    return Stays(
        since=since,
        until=until,
        now=now,
        opened=opened,
        closed=closed,
        parts=np.column_stack(parts),
        to_reading=to_reading,
        to_quote=to_quote,
        is_warranty=np.array(keys["is_warranty"], np.bool_),
        keys=keys,
    )


def _or_never(values: Sequence[int | None]) -> Seconds:
    return np.array([NEVER if one is None else one for one in values], np.int64)
