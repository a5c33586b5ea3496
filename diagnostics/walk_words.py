"""What the walk says: how far a stage is, how a board stands, what is not on it."""

from collections.abc import Iterable, Mapping
from typing import Protocol

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from diagnostics import conditions
from diagnostics.bridge import Known
from diagnostics.conditions import Now
from diagnostics.engine.boards import Board
from diagnostics.engine.family import Check
from diagnostics.figures import show
from diagnostics.sayings import CONDITIONS, family_text, net_name, point_title
from diagnostics.words.values import FITTED_NAMES

SUPPLIES = {
    "": "",
    "board": gettext_lazy("as last on this board"),
    "model": gettext_lazy("as last on this board model"),
    "rating": gettext_lazy("the adapter’s rating, and the limit for first power"),
}


GATES = {
    "gate_good": gettext_lazy("good"),
    "gate_by_arithmetic": gettext_lazy("passed by arithmetic"),
    "gate_not_fitted": gettext_lazy("not on this board"),
    "gate_limited_power": gettext_lazy("passed over"),
    "gate_unread": gettext_lazy("not read yet"),
    "gate_stale": gettext_lazy("to be read again"),
    "gate_bad": gettext_lazy("bad"),
    "gate_watch": gettext_lazy("watch"),
    "gate_unclear": gettext_lazy("unclear"),
}


class Counted(Protocol):
    """How far a stage is, in points."""

    @property
    def read(self) -> int: ...
    @property
    def passed_by(self) -> int: ...
    @property
    def held(self) -> int: ...
    @property
    def all(self) -> int: ...


def stands(known: Known, check: Check) -> str:
    """The condition that a check needs, and whether the board stands so already."""
    name, now = str(CONDITIONS[check.condition]), conditions.now_of(known)
    if not check.condition or now.condition != check.condition:
        return name
    so = _("as it came in") if now.is_as_it_came else _("as it is now")
    told = stands_with(now)
    return f"{name}; {so}, {told}" if told else f"{name}; {so}"


def gates(states: Mapping[str, str]) -> list[str]:
    """ "main to ground (k06): good", gate by gate; all of them let power pass."""
    return [f"{capfirst(name)}: {GATES[code]}" for name, code in states.items()]


def stands_with(now: Now) -> str:
    """The supply and what is in the board, as they were said or read."""
    volts, amps = now.supply_volts, now.supply_limit_amps
    parts = [show(volts, "V")] if volts is not None else []
    if amps is not None:
        parts.append(limited(amps))
    return ", ".join([*parts, *([named(now.fitted)] if now.fitted else [])])


def named(fitted: Iterable[str]) -> str:
    """What is in the board, by name."""
    return ", ".join(family_text(FITTED_NAMES[one]) for one in fitted)


def limited(amps: float) -> str:
    return _("limit %(amps)s") % {"amps": show(amps, "A")}


def thing_name(board: Board, what: str) -> str:
    """A rail, signal or point by the name that a reader knows."""
    if what in board.points:
        return point_title(board, board.points[what])
    return net_name(board, what) or what


def progress(counted: Counted) -> str:
    """ "12 of 18 read · 2 passed by · 3 held off": what is nought is left out."""
    read = _("%(read)d of %(all)d read") % {"read": counted.read, "all": counted.all}
    passed = ngettext("%(n)d passed by", "%(n)d passed by", counted.passed_by)
    held = ngettext("%(n)d held off", "%(n)d held off", counted.held)
    rest = [
        text % {"n": n}
        for text, n in ((passed, counted.passed_by), (held, counted.held))
        if n
    ]
    return " · ".join([read, *rest])


def walked(counted: Counted) -> str:
    """ "walk 12 of 18, 2 passed by": the same where room is scarce."""
    walk = _("walk %(read)d of %(all)d") % {"read": counted.read, "all": counted.all}
    if not counted.passed_by:
        return walk
    passed = ngettext("%(n)d passed by", "%(n)d passed by", counted.passed_by)
    return f"{walk}, {passed % {'n': counted.passed_by}}"
