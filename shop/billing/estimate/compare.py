"""What was estimated against what it took. PURE.

Minutes are those of labour beyond the diagnosis that the fee covers, which no quote
counts in minutes; machine time is none. Money is without tax, so that it can be set
against what the work cost the shop.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shop.billing.labour import DIAGNOSIS, MACHINE
from shop.billing.totals import MINUTE, Line
from shop.money import Money, total

PART = "part"


@dataclass(frozen=True)
class Trio:
    """One figure three times; None where there is none yet (or no quote)."""

    quoted: int | Money | None
    actual: int | Money
    billed: int | Money | None


@dataclass(frozen=True)
class Comparison:
    """Minutes; the net of parts; the net of all.

    ``cost`` is what the work cost the shop, None without a cost rate.
    """

    minutes: Trio
    parts: Trio
    net: Trio
    cost: Money | None

    @property
    def minutes_over(self) -> int | None:
        """Minutes that were worked beyond those quoted; negative: less."""
        quoted, actual = self.minutes.quoted, self.minutes.actual
        if not isinstance(quoted, int) or not isinstance(actual, int):
            return None
        return actual - quoted


def compare(
    *,
    quoted: Sequence[Line] | None,
    fixed_minutes: int,
    done: Sequence[Line],
    billed: Sequence[Line] | None,
    logged: Iterable[tuple[str, int]],
    covered_minutes: int,
    cost: Money | None,
    currency: str,
) -> Comparison:
    """Quote, work and invoice of a ticket beside each other.

    ``logged`` are minutes by kind as recorded, those taken back with a minus;
    ``fixed_minutes`` those that the quote's fixed jobs reckon with.
    """
    worked = minutes_worked(logged, covered_minutes)
    quoted_minutes = None if quoted is None else minutes_of(quoted) + fixed_minutes
    return Comparison(
        minutes=Trio(
            quoted_minutes, worked, None if billed is None else minutes_of(billed)
        ),
        parts=Trio(
            _maybe(quoted, PART, currency),
            _net(done, PART, currency),
            _maybe(billed, PART, currency),
        ),
        net=Trio(
            _maybe(quoted, "", currency),
            _net(done, "", currency),
            _maybe(billed, "", currency),
        ),
        cost=cost,
    )


def minutes_worked(logged: Iterable[tuple[str, int]], covered_minutes: int) -> int:
    """Minutes of labour, less the diagnosis that the fee covers.

    >>> minutes_worked([("diagnosis", 50), ("repair", 55), ("machine", 600)], 45)
    60
    """
    by_kind = defaultdict[str, int](int)
    for kind, minutes in logged:
        by_kind[kind] += minutes
    by_kind.pop(MACHINE, None)
    covered = min(covered_minutes, by_kind[DIAGNOSIS])
    return sum(by_kind.values()) - covered


def minutes_of(lines: Iterable[Line]) -> int:
    return sum(int(line.quantity) for line in lines if line.unit == MINUTE)


def _net(lines: Iterable[Line], code: str, currency: str) -> Money:
    own = [line.net for line in lines if not code or line.code == code]
    return total(own, currency)


def _maybe(lines: Sequence[Line] | None, code: str, currency: str) -> Money | None:
    return None if lines is None else _net(lines, code, currency)
