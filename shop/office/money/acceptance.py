"""How many quotes are said yes to, by count and by value. PURE.

acceptance = accepted / decided; decided is what was answered or has expired. A quote
that waits for its answer, and a version that a newer one replaced before anybody
answered, are not decided. Money is in minor units of one currency.
"""

from dataclasses import dataclass

from shop.office.shares import Counted


@dataclass(frozen=True)
class Pile:
    """Quotes that ended in one way: how many, and their sum."""

    count: int = 0
    minor: int = 0


@dataclass(frozen=True)
class Decided:
    """The decided quotes of one currency."""

    yes: Pile
    no: Pile
    expired: Pile

    @property
    def minor(self) -> int:
        return self.yes.minor + self.no.minor + self.expired.minor

    @property
    def by_count(self) -> Counted:
        every = self.yes.count + self.no.count + self.expired.count
        return Counted(self.yes.count, every)

    @property
    def percent_by_value(self) -> float | None:
        """None for fewer than three quotes, and where they came to nothing."""
        if self.by_count.is_few or self.minor <= 0:
            return None
        return round(100 * self.yes.minor / self.minor, 1)
