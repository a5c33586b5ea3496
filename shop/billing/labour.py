"""Minutes to billed minutes. PURE.

Time is rounded up to the increment **once** for each kind and rate of a
ticket, never by entry: 7 + 9 + 20 = 36 minutes are 45, not 60. Nothing rounds
billed time again.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

DIAGNOSIS = "diagnosis"
WARRANTY = "warranty"
MACHINE = "machine"


@dataclass(frozen=True)
class Spell:
    """Minutes of one kind at one rate an hour; a reversal has them negative."""

    kind: str
    rate: Decimal
    minutes: int


@dataclass(frozen=True)
class Labour:
    """What a ticket's time of one kind and rate comes to.

    ``logged`` are the minutes worked, ``billed`` those on the bill, ``rate``
    is what an hour of them costs.
    """

    kind: str
    rate: Decimal
    logged: int
    billed: int


def rounded_up(minutes: int, increment: int) -> int:
    """Minutes rounded up to whole increments.

    >>> rounded_up(7 + 9 + 20, 15)
    45
    """
    if increment <= 0:
        raise ValueError("An increment is at least one minute.")
    return -(-minutes // increment) * increment


def labour(
    spells: Iterable[Spell], *, increment: int, covered_minutes: int
) -> tuple[Labour, ...]:
    """The billed labour of a ticket, by kind and rate.

    The diagnosis fee covers the first ``covered_minutes`` of diagnosis, those
    of the highest rate first; only the rest is billed. Machine time (soak,
    memory test, drying) is no labour. Warranty time is listed as logged, at
    no price.
    """
    cover = covered_minutes
    bill = list[Labour]()
    for (kind, rate), logged in sorted(_logged(spells).items(), key=_dearest_first):
        if kind == WARRANTY:
            bill.append(Labour(kind, Decimal(0), logged, logged))
            continue
        used = min(cover, logged) if kind == DIAGNOSIS else 0
        cover -= used
        bill.append(Labour(kind, rate, logged, rounded_up(logged - used, increment)))
    return tuple(bill)


def _logged(spells: Iterable[Spell]) -> dict[tuple[str, Decimal], int]:
    """Minutes by kind and rate; warranty has no rate; what is taken back is out."""
    logged = defaultdict[tuple[str, Decimal], int](int)
    for spell in spells:
        if spell.kind != MACHINE:
            rate = Decimal(0) if spell.kind == WARRANTY else spell.rate
            logged[spell.kind, rate] += spell.minutes
    return {key: minutes for key, minutes in logged.items() if minutes > 0}


def _dearest_first(item: tuple[tuple[str, Decimal], int]) -> tuple[str, Decimal]:
    (kind, rate), _minutes = item
    return kind, -rate
