"""What failed, for whoever owns the machine: no net, no abbreviation, no part number.

A part is named by what it does for the machine, a way of failing by what that means;
together they are half a sentence: *the main supply has a short*. The thing comes
first, so that another language needs no case of it. Judgement (jd) throughout.
"""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Text = str | Promise
THINGS: Mapping[str, Text] = {
    "p.jack": _("the socket for the power"),
    "p.pdc": _("the chip behind the charging socket"),
    "p.fuse": _("the fuse at the power input"),
    "p.tvs": _("the power input"),
    "p.qin": _("the power input"),
    "p.adp": _("the power adapter or its cable"),
    "p.cmain": _("the main supply"),
    "p.rsense": _("the main supply"),
    "p.chgic": _("the charging circuit"),
    "p.qchg": _("the charging circuit"),
    "p.pack": _("the battery"),
    "p.dual": _("the standby supply"),
    "p.qsb": _("the standby supply"),
    "p.csb": _("the standby supply"),
    "p.lsb": _("the standby supply"),
    "p.bead": _("the standby supply"),
    "p.ec": _("the chip that switches the machine on"),
    "p.flash": _("the chip with the start-up program"),
    "p.xtal": _("the clock of the machine"),
    "p.btn": _("the power button or its cable"),
    "p.qsw": _("a supply inside the machine"),
    "p.csw": _("a supply inside the machine"),
    "p.mbuck": _("the supply of the memory"),
    "p.slot": _("the socket of the memory"),
    "p.dimm": _("the memory"),
    "p.csbuck": _("the supply of the main control chip"),
    "p.cs": _("the main control chip"),
    "p.gfx": _("the graphics chip"),
    "p.qgfx": _("the supply of the graphics chip"),
    "p.qcpu": _("the supply of the processor"),
    "p.cpuctl": _("the supply of the processor"),
    "p.ccpu": _("the supply of the processor"),
    "p.cpu": _("the processor"),
    "p.trace": _("a connection inside the board"),
}
# What a way of failing means, now and once it is cured.
SHORT = _("%(thing)s has a short"), _("%(thing)s had a short")
LEAK = _("%(thing)s leaks current"), _("%(thing)s leaked current")
OPEN = _("%(thing)s has a break"), _("%(thing)s had a break")
CORRODED = _("%(thing)s has corroded"), _("%(thing)s had corroded")
DEAD = _("%(thing)s does not work"), _("%(thing)s did not work")
WORN = _("%(thing)s is worn out"), _("%(thing)s was worn out")
WEAK = _("%(thing)s is too weak"), _("%(thing)s was too weak")
CONTENTS = (
    _("%(thing)s holds damaged contents"),
    _("%(thing)s held damaged contents"),
)
WAYS: Mapping[str, tuple[Text, Text]] = {
    **dict.fromkeys(("short", "high_short", "low_short", "short_keep"), SHORT),
    "cc_short": SHORT,
    **dict.fromkeys(("leaky", "gate_leaky"), LEAK),
    **dict.fromkeys(("open", "joint"), OPEN),
    **dict.fromkeys(("corroded", "joints"), CORRODED),
    **dict.fromkeys(("worn", "dried"), WORN),
    "low": WEAK,
    "contents": CONTENTS,
}
# Ways that mean something else at one part.
OF_PART: Mapping[tuple[str, str], tuple[Text, Text]] = {
    ("p.cpu", "joints"): OPEN,
    ("p.trace", "open"): CORRODED,
}


def fault(part: str, mode: str, is_past: bool) -> str:
    """Half a sentence without a full stop; empty for a part of no family."""
    thing = THINGS.get(part)
    if thing is None:
        return ""
    way = OF_PART.get((part, mode)) or WAYS.get(mode, DEAD)
    return str(way[is_past]) % {"thing": thing}
