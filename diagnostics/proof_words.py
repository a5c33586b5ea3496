"""The proof of repair in the reader's words."""

from collections.abc import Callable, Sequence
from datetime import timedelta

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from diagnostics import sayings
from diagnostics.bridge import Judged, Known
from diagnostics.models import ProofItem
from diagnostics.proof import ITEMS, Lack, Level, Stand
from diagnostics.proof_state import ProofState

LEVEL_NAMES = {
    Level.SHORT: pgettext_lazy("how far a repair is proved", "short"),
    Level.FULL: pgettext_lazy("how far a repair is proved", "full"),
}
REASONS = {
    "liquid": gettext_lazy("there was liquid in it, or nobody can say there was none"),
    "intermittent": gettext_lazy("it comes and goes"),
    "warranty": gettext_lazy("it came back to be looked at under warranty"),
    "second_fault": gettext_lazy("a second fault was found"),
}
LEFT_OUT = {
    "family": gettext_lazy("this kind of board has none"),
    "bare_board": gettext_lazy("a bare board came in"),
    "no_pack": gettext_lazy("no pack came in"),
    "pack_unsafe": gettext_lazy("its pack is not to be used"),
}
TICKS = {
    "ports": gettext_lazy("every port"),
    "keyboard": gettext_lazy("keyboard"),
    "sound": gettext_lazy("sound"),
    "camera": gettext_lazy("camera"),
    "network": gettext_lazy("network"),
    "picture": gettext_lazy("picture"),
    "port_1_up": gettext_lazy("first port, one cable side"),
    "port_1_down": gettext_lazy("first port, other cable side"),
    "port_2_up": gettext_lazy("second port, one cable side"),
    "port_2_down": gettext_lazy("second port, other cable side"),
}
SHORT_NAMES = {
    "cold_start": gettext_lazy("cold start from no power"),
    "load_run": gettext_lazy("run under load"),
    "sleep_wake": gettext_lazy("sleep and wake"),
    "battery_run": gettext_lazy("run on the battery alone"),
    "charge": gettext_lazy("the charge current"),
    "memory_test": gettext_lazy("the memory test"),
    "functions": gettext_lazy("ports, keyboard, sound, camera, network, picture"),
    "soak": gettext_lazy("the cold start the next day"),
}
TIMES: dict[str, Callable[[int], str]] = {
    "cold_start": lambda n: (
        ngettext("%(n)d cold start", "%(n)d cold starts", n) % {"n": n}
    ),
    "sleep_wake": lambda n: (
        ngettext("%(n)d sleep and wake", "%(n)d times sleep and wake", n) % {"n": n}
    ),
}
MINUTES = {
    "load_run": gettext_lazy("%(minutes)d min under load"),
    "battery_run": gettext_lazy("%(minutes)d min on the battery alone"),
}
PASSES = {
    "cold_start": gettext_lazy("Each starts from no power at all."),
    "load_run": gettext_lazy(
        "No reset, rails in band, no part above 95 °C at its case."
    ),
    "sleep_wake": gettext_lazy("Each wakes again, and the memory rail is held."),
    "charge": gettext_lazy(
        "Below 80 %: more than a tenth of the pack’s capacity in an hour, and rising."
    ),
    "battery_run": gettext_lazy("It does not cut out."),
    "memory_test": gettext_lazy("One whole pass without an error."),
    "functions": gettext_lazy("Each works, or it is not fitted."),
    "soak": gettext_lazy("It starts the next day, from cold."),
}


def suggestion(state: ProofState) -> str:
    """Which level is suggested, and why."""
    why = [str(REASONS[one]) for one in state.case.reasons()]
    if not why:
        return _("Suggested: the short proof. Nothing about this job asks for more.")
    return _("Suggested: the full proof, because %(why)s.") % {"why": joined(why)}


def lack_words(one: Lack) -> str:
    """ "2 cold starts", "10 min under load", "camera", "sound failed" """
    ticks = joined([str(TICKS[tick]) for tick in one.ticks])
    if one.has_failed:
        named = ticks or str(SHORT_NAMES[one.item])
        return _("%(item)s failed") % {"item": named}
    if one.times and one.item in TIMES:
        return TIMES[one.item](one.times)
    if one.minutes:
        return MINUTES[one.item] % {"minutes": one.minutes}
    return (ticks if one.item == "functions" else "") or str(SHORT_NAMES[one.item])


def again(known: Known, one: Judged) -> str:
    return _("%(point)s again") % {"point": point(known, one)}


def point(known: Known, one: Judged) -> str:
    """A rail by its short name, with what is read of it; else the point's words."""
    if one.point.pair is None and one.point.rail:
        ohms = _("%(rail)s resistance") % {"rail": one.point.rail}
        return ohms if one.check.mode == "R" else one.point.rail
    title = sayings.row_title(known.board, one.check, one.point)
    return title.partition(",")[0]


def still_to_do(state: ProofState, more: Sequence[str] = ()) -> str:
    """ "Still to do: 2 cold starts, the charge current, sb.33 again." """
    parts = [*(lack_words(one) for one in state.unproved), *more]
    if not parts:
        return _("Nothing is left to do.")
    return _("Still to do: %(all)s.") % {"all": joined(parts)}


def joined(parts: Sequence[str]) -> str:
    return ", ".join(parts)


def amount(item: str, stand: Stand, level: Level) -> str:
    """ "3 of 5", "10 of 30 min", "passed" """
    wanted, minutes = ITEMS[item].count(level), ITEMS[item].minutes(level)
    if wanted > 1:
        shown = {"done": stand.count, "of": max(wanted, stand.count)}
        return _("%(done)d of %(of)d") % shown
    if minutes and stand.minutes < minutes:
        return _("%(done)d of %(of)d min") % {"done": stand.minutes, "of": minutes}
    if stand.minutes:
        return _("%(minutes)d min") % {"minutes": stand.minutes}
    if stand.count:
        times = ngettext("%(count)d time", "%(count)d times", stand.count)
        return times % {"count": stand.count}
    return ""


def result(stand: Stand, is_settled: bool) -> str:
    if not stand.result and not stand.ticks:
        return _("not begun")
    if not is_settled and stand.result != ProofItem.Result.FAILED:
        return _("begun")
    return str(ProofItem.Result(stand.result or ProofItem.Result.PASSED).label)


def failures(stand: Stand) -> str:
    """That it failed before it passed: said openly."""
    if not stand.failures or stand.result == ProofItem.Result.FAILED:
        return ""
    text = ngettext(
        "after %(n)d that failed", "after %(n)d that failed", stand.failures
    )
    return text % {"n": stand.failures}


def left(length: timedelta) -> str:
    """How long a run still goes, in whole minutes or hours."""
    minutes = max(1, round(length.total_seconds() / 60))
    if minutes < 120:
        return ngettext("%(n)d minute left", "%(n)d minutes left", minutes) % {
            "n": minutes
        }
    hours = round(minutes / 60)
    return ngettext("%(n)d hour left", "%(n)d hours left", hours) % {"n": hours}


def tick_name(tick: str) -> str:
    return capfirst(str(TICKS[tick]))
