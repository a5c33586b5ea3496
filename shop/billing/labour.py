"""Minutes to billed minutes. PURE.

Time is rounded up to the increment **once** for each kind and rate of a
ticket, never by entry: 7 + 9 + 20 = 36 minutes are 45, not 60. Nothing rounds
billed time again.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

DIAGNOSIS = "diagnosis"
WARRANTY = "warranty"
MACHINE = "machine"
# What a job with a fixed price pays for, in this order.
OF_A_FIXED_JOB = ("repair", "rework", "proof")


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
    spells: Iterable[Spell],
    *,
    increment: int,
    covered_minutes: int,
    fixed_minutes: int | None = 0,
) -> tuple[Labour, ...]:
    """The billed labour of a ticket, by kind and rate.

    The diagnosis fee covers the first ``covered_minutes`` of diagnosis, those
    of the highest rate first; only the rest is billed. In the same way fixed prices
    pay for ``fixed_minutes`` of hands-on work, None for all of it. Machine time (soak,
    memory test, drying) is no labour. Warranty time is listed as logged, at
    no price.
    """
    logged = _logged(spells)
    paid = _taken(logged, covered_minutes, (DIAGNOSIS,)) | _taken(
        logged, fixed_minutes, OF_A_FIXED_JOB
    )
    bill = list[Labour]()
    for (kind, rate), minutes in sorted(logged.items(), key=_dearest_first):
        if kind == WARRANTY:
            bill.append(Labour(kind, Decimal(0), minutes, minutes))
            continue
        left = minutes - paid.get((kind, rate), 0)
        bill.append(Labour(kind, rate, minutes, rounded_up(left, increment)))
    return tuple(bill)


def _taken(
    logged: Mapping[tuple[str, Decimal], int],
    minutes: int | None,
    kinds: Sequence[str],
) -> dict[tuple[str, Decimal], int]:
    """What of ``minutes`` goes to which kind and rate; None is as many as there are."""
    ours = [(key, n) for key, n in logged.items() if key[0] in kinds]
    ours.sort(key=lambda item: (kinds.index(item[0][0]), -item[0][1]))
    left = sum(n for _key, n in ours) if minutes is None else minutes
    taken = {}
    for key, count in ours:
        taken[key] = min(left, count)
        left -= taken[key]
    return taken


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
