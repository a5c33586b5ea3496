"""What is held of a job's advances, step by step. PURE.

Reckoned from sums alone, and not as the journal books it (``owed``), so that the two
can be held against each other: held is what was paid and no paper has asked for, less
what an account's invoice took of it that was paid on its tickets.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Step:
    """A payment or a paper of one job; amounts in minor units.

    ``billed`` is what the paper asks for, after the ``taken`` that was paid elsewhere.
    """

    at: datetime
    rank: int
    pk: int
    kind: str
    document: str
    paid: int = 0
    billed: int = 0
    taken: int = 0
    how: str = ""

    @property
    def order(self) -> tuple[datetime, int, int]:
        return self.at, self.rank, self.pk


def moves(steps: Iterable[Step]) -> Iterator[tuple[Step, int]]:
    """Each step that changes what is held, and by how much.

    >>> at = datetime(2026, 3, 2)
    >>> advance = Step(at, 0, 1, "payment", "P1", paid=2000)
    >>> bill = Step(at, 1, 1, "invoice", "2026-0001", billed=4200)
    >>> [(step.document, by) for step, by in moves([bill, advance])]
    [('P1', 2000), ('2026-0001', -2000)]
    """
    paid = billed = taken = held = 0
    for step in sorted(steps, key=lambda one: one.order):
        paid, billed = paid + step.paid, billed + step.billed
        taken += step.taken
        now = max(paid - billed, 0) - taken
        if now != held:
            yield step, now - held
        held = now
