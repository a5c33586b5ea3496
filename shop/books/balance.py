"""Sums of a journal: what each account moved in a period. PURE."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from shop.books.posting.entries import Entry


@dataclass
class Moved:
    """An account's debit and credit, in minor units, both above zero."""

    debit: int = 0
    credit: int = 0

    @property
    def balance(self) -> int:
        return self.debit - self.credit


@dataclass
class TrialBalance:
    """By currency and account; ``counts`` the entries by their kind."""

    moved: dict[tuple[str, str], Moved] = field(
        default_factory=lambda: defaultdict(Moved)
    )
    counts: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def add(self, entry: Entry) -> None:
        self.counts[entry.kind] += 1
        for line in entry.lines:
            moved = self.moved[entry.currency, line.account]
            if line.minor > 0:
                moved.debit += line.minor
            else:
                moved.credit -= line.minor

    def passing(self, entries: Iterable[Entry]) -> Iterator[Entry]:
        """The same entries, summed up as they pass."""
        for entry in entries:
            self.add(entry)
            yield entry

    def of(self, currency: str) -> dict[str, Moved]:
        return {
            code: moved for (own, code), moved in self.moved.items() if own == currency
        }

    def balance(self, currency: str, account: str) -> int:
        moved = self.moved.get((currency, account))
        return moved.balance if moved else 0

    @property
    def total(self) -> Moved:
        return Moved(
            sum(one.debit for one in self.moved.values()),
            sum(one.credit for one in self.moved.values()),
        )


def trial_balance(entries: Iterable[Entry]) -> TrialBalance:
    sums = TrialBalance()
    for entry in entries:
        sums.add(entry)
    return sums
