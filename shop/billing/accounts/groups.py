"""The tickets on a monthly invoice, as its own copies tell them. PURE."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Self


@dataclass(frozen=True)
class Group:
    """One ticket's lines, ``first`` to ``last`` by position, and what heads them.

    Days are ISO texts; ``warranty`` is the sentence of the day it was issued.
    """

    ticket: str
    model: str
    serial: str
    contact: str
    order_number: str
    handed_over: str
    first: int
    last: int
    warranty_until: str = ""
    warranty: str = ""

    @classmethod
    def of(cls, copy: Mapping[str, Any]) -> Self:
        return cls(**copy)

    def copied(self) -> dict[str, Any]:
        return asdict(self)

    def has(self, position: int) -> bool:
        return self.first <= position <= self.last


def groups_of(device: Mapping[str, Any]) -> Sequence[Group]:
    """Those of an invoice's ``device``; none on a single one, or when it is emptied."""
    return [Group.of(copy) for copy in device.get("groups", ())]


def groups_on(device: Mapping[str, Any], lines: int) -> Sequence[Group]:
    """The groups of a paper with so many lines.

    A credit note over a part has other lines than its invoice: none head them.
    """
    groups = groups_of(device)
    return groups if groups and groups[-1].last == lines else ()
