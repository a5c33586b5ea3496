"""The proof of repair: its items and its level. PURE.

Source: domain brief section 8 (judgement, to be changed by the shop).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

LAPTOPS = frozenset({"laptop_barrel", "laptop_usbc"})
ALL_FAMILIES = LAPTOPS | {"desktop_atx"}


class Level(StrEnum):
    FULL = "full"
    SHORT = "short"
    OPEN = "open"


@dataclass(frozen=True)
class Item:
    """One item: how often or how long, for a full and for a short proof."""

    full_count: int | None = None
    full_minutes: int | None = None
    short_count: int | None = None
    short_minutes: int | None = None
    is_in_short: bool = False
    families: frozenset[str] = ALL_FAMILIES


ITEMS: Mapping[str, Item] = {
    "cold_start": Item(full_count=5, short_count=3, is_in_short=True),
    "load_run": Item(full_minutes=30, short_minutes=10, is_in_short=True),
    "sleep_wake": Item(full_count=5),
    "charge": Item(families=LAPTOPS),
    "battery_run": Item(full_minutes=10, families=LAPTOPS),
    "memory_test": Item(full_count=1),
    "functions": Item(is_in_short=True),
    "soak": Item(),
}
ONLY_IF_ASKED = frozenset({"soak"})
SETTLED = frozenset({"passed", "waived", "not_fitted"})


@dataclass(frozen=True)
class Given:
    """An item as it was proved: result, how often, how long."""

    item: str
    result: str
    count: int | None = None
    minutes: int | None = None


def level_of(given: Iterable[Given], family: str) -> Level:
    """How far a repair is proved: ``full``, ``short``, or still ``open``.

    The newest result of each item counts.

    >>> short = [Given("cold_start", "passed", count=3),
    ...          Given("load_run", "passed", minutes=10),
    ...          Given("functions", "passed")]
    >>> level_of(short, "laptop_barrel").value
    'short'
    """
    newest = {one.item: one for one in given}
    if any(one.result == "failed" for one in newest.values()):
        return Level.OPEN
    if all(_meets(newest.get(i), ITEMS[i], True) for i in required(family)):
        return Level.FULL
    shorts = [i for i in required(family) if ITEMS[i].is_in_short]
    if all(_meets(newest.get(i), ITEMS[i], False) for i in shorts):
        return Level.SHORT
    return Level.OPEN


def required(family: str) -> tuple[str, ...]:
    """The items that a full proof of this family holds; all for an unknown one."""
    return tuple(
        name
        for name, item in ITEMS.items()
        if (family in item.families or family not in ALL_FAMILIES)
        and name not in ONLY_IF_ASKED
    )


def _meets(given: Given | None, item: Item, is_full: bool) -> bool:
    if given is None or given.result not in SETTLED:
        return False
    if given.result != "passed":
        return True
    count = item.full_count if is_full else item.short_count
    minutes = item.full_minutes if is_full else item.short_minutes
    return (given.count or 0) >= (count or 0) and (given.minutes or 0) >= (minutes or 0)
