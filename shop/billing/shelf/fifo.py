"""First in, first out: which lots a taking draws, and what is left is worth. PURE.

The oldest lot is drawn first; what lies on the shelf is therefore what came last
(IAS 2, paragraphs 25 and 27). Costs are integers of the currency's minor unit, so no
cost is ever rounded.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


class NotEnough(ValueError):
    """More was asked for than all lots hold."""


@dataclass(frozen=True)
class Lot:
    """``left`` pieces at ``cost`` each; ``id`` tells lots apart."""

    id: int
    left: int
    cost: int


@dataclass(frozen=True)
class Draw:
    """``quantity`` pieces (at least 1) off one lot."""

    lot: Lot
    quantity: int

    @property
    def cost(self) -> int:
        return self.quantity * self.lot.cost


def take(lots: Iterable[Lot], quantity: int) -> tuple[Draw, ...]:
    """The draws that make up ``quantity``, from lots in the order they came.

    >>> take([Lot(1, 100, 10), Lot(2, 200, 12)], 150)[1].quantity
    50
    """
    if quantity < 1:
        raise ValueError("At least one is taken.")
    draws, missing = list[Draw](), quantity
    for lot in lots:
        part = min(lot.left, missing)
        if part > 0:
            draws.append(Draw(lot, part))
            missing -= part
        if not missing:
            return tuple(draws)
    raise NotEnough(f"{missing} of {quantity} are missing.")


def cost_of(draws: Iterable[Draw]) -> int:
    """What all draws cost together, in minor units."""
    return sum(draw.cost for draw in draws)


def each(draws: Sequence[Draw]) -> int:
    """What one piece cost; the mean, half up, where the lots differ.

    >>> each([Draw(Lot(1, 1, 10), 1), Draw(Lot(2, 1, 11), 1)])
    11
    """
    count = sum(draw.quantity for draw in draws)
    return (2 * cost_of(draws) + count) // (2 * count)


def value(lots: Iterable[Lot]) -> int:
    """What is left is worth, in minor units."""
    return sum(lot.left * lot.cost for lot in lots)
