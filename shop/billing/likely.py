"""Which parts a ticket's board most likely needs, told by a room that knows boards.

Billing knows no board: a later room says the kinds of parts by their ids, the likeliest
first (``told_by``).
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from shop.billing.models import StockItem
from shop.intake.models import Ticket

Teller = Callable[[Ticket], Sequence[str]]
_tellers: list[Teller] = []


def told_by(teller: Teller) -> None:
    _tellers.append(teller)


@dataclass(frozen=True)
class Shelf:
    """What is on the shelf: what this board may need, and everything else."""

    likely: tuple[StockItem, ...]
    others: tuple[StockItem, ...]


def sorted_for(ticket: Ticket, items: Iterable[StockItem]) -> Shelf:
    """Likely parts in the order they were told, the others in their own."""
    ids = [part_id for tell in _tellers for part_id in tell(ticket)]
    place = {part_id: n for n, part_id in reversed(list(enumerate(ids)))}
    rows = list(items)
    likely = sorted(
        (item for item in rows if item.part_id in place),
        key=lambda item: place[item.part_id],
    )
    others = (item for item in rows if item.part_id not in place)
    return Shelf(tuple(likely), tuple(others))
