"""How many repairs held: first-time fix, and what came back. PURE.

first-time fix = fixed without a return in the warranty / fixed, of those whose warranty
has run out; the others are too young to tell and stand apart. A return is a warranty
check opened on or before the warranty's last day, unless it was decided not to be
covered: that is no fault of the repair.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from shop.office.shares import Counted


@dataclass(frozen=True)
class Held:
    """Tickets closed as fixed: ``run`` are old enough to tell, ``back`` of them
    returned; the same of the ``young``."""

    run: int = 0
    back: int = 0
    young: int = 0
    young_back: int = 0

    def __add__(self, other: "Held") -> "Held":
        return Held(
            self.run + other.run,
            self.back + other.back,
            self.young + other.young,
            self.young_back + other.young_back,
        )

    @property
    def closed(self) -> int:
        return self.run + self.young

    @property
    def first_time(self) -> Counted:
        return Counted(self.run - self.back, self.run)

    @property
    def returned(self) -> Counted:
        return Counted(self.back, self.run)

    @property
    def so_far(self) -> Counted:
        """With those too young to tell: the share can only fall from here."""
        return Counted(self.closed - self.back - self.young_back, self.closed)


class Fault(StrEnum):
    SAME = "same"
    NEW = "new"
    UNTOLD = "untold"


def fault_of(before: Collection[str], after: Collection[str]) -> Fault:
    """By the parts that were found on the repair and on its return.

    >>> fault_of({"p.cmain"}, {"p.cmain", "p.ec"}), fault_of({"p.cmain"}, {"p.ec"})
    (<Fault.SAME: 'same'>, <Fault.NEW: 'new'>)
    """
    if not before or not after:
        return Fault.UNTOLD
    return Fault.NEW if set(before).isdisjoint(after) else Fault.SAME


def is_return(opened_on: date, until: date, *, is_covered: bool | None) -> bool:
    """``is_covered`` is None while nobody has decided."""
    return opened_on <= until and is_covered is not False
