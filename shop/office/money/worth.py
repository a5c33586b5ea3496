"""Whether a board model is worth taking in. PURE; the rules are judgement (jd).

The first that holds:

1. Under three closed tickets, or under three of which the money can be told: too few.
2. No hour has a cost: not known.
3. Under three in four were fixed, and half or more of those that could not be mended
   lacked a part: only with a donor board.
4. Under half were fixed: not at our price.
5. At least 40 % of what was invoiced is left after parts and time: yes.
6. An invoice that leaves 40 % is one that a customer of this model has paid already:
   yes, at that or more.
7. Otherwise: not at our price.
"""

from dataclasses import dataclass
from enum import StrEnum

from shop.office.figures import FEWEST
from shop.office.margin import Margin

WANTED = 40  # per cent left of an invoice
FIXED_ENOUGH = 75  # per cent; below it the reasons count
FIXED_LEAST = 50


class Worth(StrEnum):
    FEW = "few"
    UNKNOWN = "unknown"
    YES = "yes"
    AT_LEAST = "at_least"
    DONOR = "donor"
    NOT = "not"


@dataclass(frozen=True)
class Record:
    """What became of a model's closed tickets; money in minor units.

    ``dearest`` is the largest net that one of them was invoiced at; ``no_fix`` could
    not be mended, ``no_part`` of them for want of a part.
    """

    closed: int
    fixed: int
    no_fix: int
    no_part: int
    dearest: int
    margin: Margin

    @property
    def fixed_percent(self) -> float:
        return 100 * self.fixed / self.closed


@dataclass(frozen=True)
class Judged:
    """``at_least`` is the net that an invoice has to come to."""

    worth: Worth
    at_least: int | None = None


def judged(record: Record) -> Judged:
    if record.closed < FEWEST or record.margin.tickets < FEWEST:
        return Judged(Worth.FEW)
    if record.margin.labour is None:
        return Judged(Worth.UNKNOWN)
    lacks_parts = 0 < record.no_part >= record.no_fix / 2
    if lacks_parts and record.fixed_percent < FIXED_ENOUGH:
        return Judged(Worth.DONOR)
    if record.fixed_percent < FIXED_LEAST or record.margin.invoiced <= 0:
        return Judged(Worth.NOT)
    return _by_margin(record.margin, record.dearest)


def _by_margin(margin: Margin, dearest: int) -> Judged:
    if 100 * margin.left >= WANTED * margin.invoiced:
        return Judged(Worth.YES)
    price = least_price(margin)
    if price <= dearest:
        return Judged(Worth.AT_LEAST, price)
    return Judged(Worth.NOT)


def least_price(margin: Margin) -> int:
    """The net that leaves what is wanted after a ticket's mean cost, rounded up."""
    cost = margin.parts + (margin.labour or 0)
    return -(-100 * cost // (margin.tickets * (100 - WANTED)))
