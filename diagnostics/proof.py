"""The proof of repair: its items, its levels, and what is still to do. PURE.

Source: domain brief section 8 (judgement, to be changed by the shop). Items follow
what was handed in: a bare board is proved as a bare board.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

LAPTOPS = frozenset({"laptop_barrel", "laptop_usbc"})
ALL_FAMILIES = LAPTOPS | {"desktop_atx"}
PASSED, FAILED, WAIVED, NOT_FITTED = "passed", "failed", "waived", "not_fitted"
TAKEN_BACK = "taken_back"


class Level(StrEnum):
    FULL = "full"
    SHORT = "short"
    OPEN = "open"


@dataclass(frozen=True)
class Item:
    """One item: how often or how long, for a full and for a short proof.

    ``is_left_alone`` runs by itself for its minutes: machine time, not labour.
    """

    full_count: int | None = None
    full_minutes: int | None = None
    short_count: int | None = None
    short_minutes: int | None = None
    is_in_short: bool = False
    is_left_alone: bool = False
    needs_pack: bool = False
    families: frozenset[str] = ALL_FAMILIES

    def count(self, level: Level) -> int:
        return (self.short_count if level is Level.SHORT else self.full_count) or 0

    def minutes(self, level: Level) -> int:
        return (self.short_minutes if level is Level.SHORT else self.full_minutes) or 0


ITEMS: Mapping[str, Item] = {
    "cold_start": Item(full_count=5, short_count=3, is_in_short=True),
    "load_run": Item(
        full_minutes=30, short_minutes=10, is_in_short=True, is_left_alone=True
    ),
    "sleep_wake": Item(full_count=5),
    "charge": Item(families=LAPTOPS, needs_pack=True),
    "battery_run": Item(
        full_minutes=10, families=LAPTOPS, needs_pack=True, is_left_alone=True
    ),
    "memory_test": Item(full_count=1, is_left_alone=True),
    "functions": Item(is_in_short=True),
    "soak": Item(is_left_alone=True),
}
# What a person ticks one by one; the rest is one word for the whole item.
FUNCTIONS = ("ports", "keyboard", "sound", "camera", "network", "picture")
NOT_ON_A_BARE_BOARD = frozenset({"keyboard", "camera"})
BOTH_PORTS_BOTH_SIDES = ("port_1_up", "port_1_down", "port_2_up", "port_2_down")
SETTLED = frozenset({PASSED, WAIVED, NOT_FITTED})


@dataclass(frozen=True)
class HandedIn:
    """What there is to prove: the family, and what came in. Any other family owes
    every item."""

    family: str = ""
    is_bare_board: bool = False
    has_pack: bool = True
    is_pack_unsafe: bool = False


@dataclass(frozen=True)
class Case:
    """What of a ticket asks for the full proof."""

    is_liquid: bool = False
    is_intermittent: bool = False
    is_warranty: bool = False
    is_second_fault: bool = False

    def reasons(self) -> tuple[str, ...]:
        """Why the full proof is suggested; none: the short one is enough."""
        asks = {
            "liquid": self.is_liquid,
            "intermittent": self.is_intermittent,
            "warranty": self.is_warranty,
            "second_fault": self.is_second_fault,
        }
        return tuple(name for name, is_so in asks.items() if is_so)

    @property
    def suggested(self) -> Level:
        return Level.FULL if self.reasons() else Level.SHORT

    @property
    def needs_soak(self) -> bool:
        return self.is_liquid or self.is_intermittent


PLAIN = Case()


@dataclass(frozen=True)
class Given:
    """One row: an item or a tick of it, as it was proved."""

    item: str
    result: str
    count: int | None = None
    minutes: int | None = None
    part: str = ""


@dataclass(frozen=True)
class Stand:
    """How an item stands after all its rows.

    ``count`` goes on since the last failure, ``minutes`` are of the longest run since.
    """

    result: str = ""
    count: int = 0
    minutes: int = 0
    ticks: Mapping[str, str] = field(default_factory=dict)
    failures: int = 0


@dataclass(frozen=True)
class Lack:
    """What an item still lacks."""

    item: str
    times: int = 0
    minutes: int = 0
    ticks: tuple[str, ...] = ()
    has_failed: bool = False


def left_out(handed: HandedIn) -> dict[str, str]:
    """Items that what was handed in can't prove, each with why as a code."""
    found = {}
    for name, item in ITEMS.items():
        if handed.family in ALL_FAMILIES and handed.family not in item.families:
            found[name] = "family"
        elif item.needs_pack and handed.is_pack_unsafe:
            found[name] = "pack_unsafe"
        elif item.needs_pack and not handed.has_pack:
            found[name] = "bare_board" if handed.is_bare_board else "no_pack"
    return found


def required(
    handed: HandedIn, level: Level = Level.FULL, case: Case = PLAIN
) -> tuple[str, ...]:
    """The items that a proof of this level holds, in their order."""
    out = left_out(handed)
    return tuple(
        name
        for name, item in ITEMS.items()
        if name not in out
        and (item.is_in_short or level is Level.FULL)
        and (name != "soak" or case.needs_soak)
    )


def ticks_of(item: str, handed: HandedIn) -> tuple[str, ...]:
    """What is ticked one by one within an item."""
    if item == "functions":
        out = NOT_ON_A_BARE_BOARD if handed.is_bare_board else frozenset()
        return tuple(one for one in FUNCTIONS if one not in out)
    if item == "charge" and handed.family == "laptop_usbc":
        return BOTH_PORTS_BOTH_SIDES
    return ()


def stands(given: Iterable[Given]) -> dict[str, Stand]:
    """How each item stands: rows in the order given, what was taken back left out.

    >>> stands([Given("cold_start", "passed", count=1)] * 2)["cold_start"].count
    2
    """
    found: dict[str, Stand] = {}
    for one in standing(given):
        found[one.item] = _after(found.get(one.item, Stand()), one)
    return found


def standing(given: Iterable[Given]) -> list[Given]:
    """The rows that nobody took back."""
    kept: list[Given] = []
    for one in given:
        if one.result != TAKEN_BACK:
            kept.append(one)
            continue
        same = [n for n, other in enumerate(kept) if _is_same(one, other)]
        if same:
            del kept[same[-1]]
    return kept


def _is_same(one: Given, other: Given) -> bool:
    return (one.item, one.part) == (other.item, other.part)


def _after(stand: Stand, one: Given) -> Stand:
    if one.part:
        ticks = {**stand.ticks, one.part: one.result}
        return Stand(stand.result, stand.count, stand.minutes, ticks, stand.failures)
    if one.result == FAILED:
        return Stand(FAILED, failures=stand.failures + 1)
    if one.result != PASSED:
        return Stand(one.result, failures=stand.failures)
    return Stand(
        PASSED,
        stand.count + (one.count or 0),
        max(stand.minutes, one.minutes or 0),
        {tick: how for tick, how in stand.ticks.items() if how != FAILED},
        stand.failures,
    )


def lacks(
    name: str, stand: Stand, level: Level, handed: HandedIn = HandedIn()
) -> Lack | None:
    """What an item still lacks for a level, or nothing."""
    item = ITEMS[name]
    if FAILED in {stand.result, *stand.ticks.values()}:
        failed = tuple(one for one, how in stand.ticks.items() if how == FAILED)
        return Lack(name, ticks=failed, has_failed=True)
    if stand.result in SETTLED - {PASSED}:
        return None
    times = max(0, item.count(level) - stand.count)
    minutes = item.minutes(level) if stand.minutes < item.minutes(level) else 0
    if times or minutes:
        return Lack(name, times, minutes)
    ticks = tuple(one for one in ticks_of(name, handed) if one not in stand.ticks)
    if stand.result == PASSED or (stand.ticks and not ticks):
        return None
    return Lack(name, ticks=ticks)


def still_to_do(
    given: Iterable[Given], handed: HandedIn, level: Level, case: Case = PLAIN
) -> tuple[Lack, ...]:
    """Everything that a proof of this level still lacks; a failure always counts."""
    found = stands(given)
    asked = required(handed, level, case)
    names = [name for name in ITEMS if name in asked or _failed(found.get(name))]
    lacking = (lacks(one, found.get(one, Stand()), level, handed) for one in names)
    return tuple(lack for lack in lacking if lack is not None)


def _failed(stand: Stand | None) -> bool:
    return stand is not None and FAILED in {stand.result, *stand.ticks.values()}


def level_of(given: Iterable[Given], handed: HandedIn, case: Case = PLAIN) -> Level:
    """How far a repair is proved: ``full``, ``short``, or still ``open``.

    >>> short = [Given("cold_start", "passed", count=3),
    ...          Given("load_run", "passed", minutes=10),
    ...          Given("functions", "passed")]
    >>> level_of(short, HandedIn("laptop_barrel")).value
    'short'
    """
    rows = list(given)
    for level in (Level.FULL, Level.SHORT):
        if not still_to_do(rows, handed, level, case):
            return level
    return Level.OPEN
