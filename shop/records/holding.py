"""What the columns of the house's tables hold: the words of each room's list. PURE.

Every room says it in its ``holds.py``, model by model and column by column, in one of
these classes. From the lists alone follow what a customer is handed, what is erased
and what stays; a column that no list names fails a test.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Holds(StrEnum):
    CUSTOMER = "customer"  # a customer's own: handed out on request, and erased
    PAPER = "paper"  # a customer's own on papers of account: kept for years, by law
    STAFF = "staff"  # of who works here: it stands on what they did
    KEYS = "keys"  # keys, hashes, tokens: shown to nobody
    BUSINESS = "business"  # of the job: handed out, and stays when nobody is named
    BENCH = "bench"  # what was learned of boards: it knows no person
    TECHNICAL = "technical"  # of the program: keys, versions, moments of its own


OF_A_PERSON = frozenset({Holds.CUSTOMER, Holds.PAPER})
HANDED_OUT = frozenset({Holds.CUSTOMER, Holds.PAPER, Holds.BUSINESS})


@dataclass(frozen=True)
class Table:
    """The columns of one model, and the way from its rows to whom they are of.

    ``of_customer`` and ``of_ticket`` are Django look-ups that end at the id; a table
    that has neither belongs to no one customer. ``stamp`` is the column that says
    when it was erased. ``paper_if`` are look-ups of the rows whose personal columns
    prove an ownership, and stay as long as papers do. ``goes`` means that the rows
    themselves are deleted.
    """

    columns: Mapping[str, Holds]
    of_customer: str = ""
    of_ticket: str = ""
    stamp: str = ""
    paper_if: Mapping[str, object] | None = None
    goes: bool = False

    def named(self, *kinds: Holds) -> list[str]:
        """Its columns of these classes, in the order of the list."""
        return [name for name, kind in self.columns.items() if kind in kinds]

    @property
    def is_of_a_customer(self) -> bool:
        return bool(self.of_customer or self.of_ticket)


def table(
    *,
    customer: str = "",
    paper: str = "",
    staff: str = "",
    keys: str = "",
    business: str = "",
    bench: str = "",
    technical: str = "",
    of_customer: str = "",
    of_ticket: str = "",
    stamp: str = "",
    paper_if: Mapping[str, object] | None = None,
    goes: bool = False,
) -> Table:
    """A table by its columns' names. ``ValueError`` for one that is named twice."""
    lists = {
        Holds.CUSTOMER: customer,
        Holds.PAPER: paper,
        Holds.STAFF: staff,
        Holds.KEYS: keys,
        Holds.BUSINESS: business,
        Holds.BENCH: bench,
        Holds.TECHNICAL: technical,
    }
    columns: dict[str, Holds] = {}
    for kind, names in lists.items():
        for name in names.split():
            if name in columns:
                raise ValueError(f"{name} is named twice.")
            columns[name] = kind
    return Table(columns, of_customer, of_ticket, stamp, paper_if, goes)
