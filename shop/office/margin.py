"""Margin by board model: what a kind of board leaves after parts and labour. PURE.

margin = (invoiced net - parts cost - logged hours x cost rate) / invoiced net

Money is in minor units. Under three tickets no share is given: it would be an
anecdote.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from shop.office.figures import FEWEST

MINUTES_AN_HOUR = 60


@dataclass(frozen=True)
class Rate:
    """What an hour costs the shop, from a moment on; ``None`` where it is not said."""

    since: datetime
    minor: int | None


@dataclass(frozen=True)
class Worked:
    """Minutes of people on a ticket; negative where they were taken back."""

    ticket: int
    minutes: int
    started_at: datetime


@dataclass(frozen=True)
class Margin:
    """Sums over tickets; ``labour`` is ``None`` while no cost rate is set."""

    tickets: int
    invoiced: int
    parts: int
    minutes: int
    labour: int | None

    @property
    def left(self) -> int:
        return self.invoiced - self.parts - (self.labour or 0)

    @property
    def percent(self) -> int | None:
        """Of what was invoiced; ``None`` for fewer than three tickets, where nothing
        was invoiced, and while labour is not known: a share without it misleads."""
        if self.tickets < FEWEST or self.invoiced <= 0 or self.labour is None:
            return None
        return rounded(100 * self.left, self.invoiced)


def margin_of(
    *,
    tickets: int,
    invoiced: int,
    parts: int,
    worked: Sequence[Worked],
    rates: Sequence[Rate],
) -> Margin:
    """The sums of some tickets, their labour at the rates of its days."""
    minutes = sum(one.minutes for one in worked)
    return Margin(tickets, invoiced, parts, minutes, labour_of(worked, rates))


def labour_of(worked: Iterable[Worked], rates: Sequence[Rate]) -> int | None:
    """What the time cost; ``None`` where the shop says no rate now.

    Work from before the first rate counts at the first: a shop that sets one today
    wants to know of last year too.
    """
    said = [(one.since, one.minor) for one in rates if one.minor is not None]
    if not said or rates[-1].minor is None:
        return None
    minor_minutes = sum(one.minutes * _rate_at(said, one.started_at) for one in worked)
    return rounded(minor_minutes, MINUTES_AN_HOUR)


def _rate_at(said: Sequence[tuple[datetime, int]], when: datetime) -> int:
    before = [minor for since, minor in said if since <= when]
    return before[-1] if before else said[0][1]


def rounded(number: int, by: int) -> int:
    """A quotient as a whole number, half up.

    >>> rounded(90, 60)
    2
    """
    return int((Decimal(number) / by).quantize(Decimal(1), ROUND_HALF_UP))
