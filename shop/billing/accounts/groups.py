"""The tickets on a monthly invoice, as its own copies tell them. PURE."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
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


def regrouped(device: Mapping[str, Any], places: Sequence[int]) -> Mapping[str, Any]:
    """The copy for a credit note whose lines take back those at ``places``, in order.

    A group of which nothing is taken back is not on it.
    """
    groups = [
        replace(group, first=own[0], last=own[-1])
        for group in groups_of(device)
        if (own := [n for n, p in enumerate(places, start=1) if group.has(p)])
    ]
    if not groups:
        return device
    return {**device, "groups": [group.copied() for group in groups]}


def groups_on(device: Mapping[str, Any], lines: int) -> Sequence[Group]:
    """The groups of a paper with so many lines; none where they are another paper's.

    So it is with credit notes over a part of before ``regrouped``.
    """
    groups = groups_of(device)
    return groups if groups and groups[-1].last == lines else ()
