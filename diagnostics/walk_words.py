"""What the walk says: how far a stage is, how a board stands, what is not on it."""

from typing import Protocol

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from diagnostics.engine.boards import Board
from diagnostics.engine.quantities import show
from diagnostics.sayings import net_name, point_title

SUPPLIES = {
    "": "",
    "board": gettext_lazy("as last on this board"),
    "model": gettext_lazy("as last on this board model"),
    "rating": gettext_lazy("the adapter’s rating, and the limit for first power"),
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
