"""What the evening list says: signs in words, what must be looked at."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from django.utils import timezone
from django.utils.dateformat import time_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.models import MachineRun
from shop.billing.clocks import LONGEST, End, Mark, Stint, What
from shop.billing.day_split import MINUTE, Share


def clock(at: datetime) -> str:
    """A moment as the shop's wall shows it."""
    return time_format(timezone.localtime(at), "G:i")


def span(start: datetime, end: datetime) -> str:
    return f"{clock(start)}–{clock(end)}"


def duration(minutes: int) -> str:
    """Minutes as people say them: ``45 min``, ``2 h 30 min``."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return _("%(n)d min") % {"n": rest}
    if not rest:
        return _("%(h)d h") % {"h": hours}
    return _("%(h)d h %(n)d min") % {"h": hours, "n": rest}


def _readings(n: int) -> str:
    return ngettext("%(n)d reading", "%(n)d readings", n) % {"n": n}


def _photos(n: int) -> str:
    return ngettext("%(n)d photo", "%(n)d photos", n) % {"n": n}


def _notes(n: int) -> str:
    return ngettext("%(n)d note", "%(n)d notes", n) % {"n": n}


def _works(n: int) -> str:
    return ngettext("%(n)d thing done", "%(n)d things done", n) % {"n": n}


def _proofs(n: int) -> str:
    return ngettext("%(n)d item of the proof", "%(n)d items of the proof", n) % {"n": n}


def _seen(n: int) -> str:
    return ngettext("%(n)d thing seen", "%(n)d things seen", n) % {"n": n}


SAID = {
    What.READING: _readings,
    What.WORK: _works,
    What.PROOF: _proofs,
    What.PHOTO: _photos,
    What.SEEN: _seen,
    What.NOTE: _notes,
}


def signs(marks: Iterable[Mark]) -> str:
    counts = Counter(mark.what for mark in marks)
    return ", ".join(say(counts[what]) for what, say in SAID.items() if counts[what])


def evidence(stints: Sequence[Stint]) -> str:
    """``14 readings, 3 photos · 9:12–10:40, 13:05–14:00``."""
    seen = signs(sign for stint in stints for sign in stint.signs)
    spans = ", ".join(span(one.start, one.end) for one in joined(stints))
    return " · ".join(filter(None, [spans, seen or _("nothing written down")]))


def joined(stints: Sequence[Stint]) -> list[Stint]:
    """Stints that touch, as one: the shop's opening splits them, people don't."""
    found: list[Stint] = []
    for one in stints:
        if found and found[-1].end == one.start:
            found[-1] = replace(found[-1], end=one.end)
        else:
            found.append(one)
    return found


def outside(marks: Sequence[Mark]) -> str:
    """Signs of work that no clock of this person holds."""
    if not marks:
        return ""
    seen = {"signs": signs(marks), "when": span(marks[0].at, marks[-1].at)}
    return _("%(signs)s while your clock did not run here (%(when)s)") % seen


def looks(stint: Stint) -> list[str]:
    """Why a stint must be looked at before it is billed."""
    found = []
    if stint.ended == End.SILENT:
        last = {"last": clock(stint.end - LONGEST), "end": clock(stint.end)}
        found.append(_("No sign of work after %(last)s; stopped at %(end)s.") % last)
    elif stint.length >= LONGEST:
        long = {"when": span(stint.start, stint.end)}
        found.append(_("%(when)s is three hours or more in one go.") % long)
    if not stint.in_hours:
        late = {"when": span(stint.start, stint.end)}
        found.append(_("%(when)s is outside opening hours.") % late)
    return found


def of_share(share: Share) -> str:
    """What of the clock's minutes is not proposed, and why."""
    found = []
    if share.seen:
        found.append(_("%(n)s confirmed before") % {"n": duration(share.seen)})
    if share.typed:
        found.append(_("%(n)s typed by hand") % {"n": duration(share.typed)})
    if not found:
        return ""
    said = {"clock": duration(share.clock), "what": ", ".join(found)}
    return _("clock %(clock)s, %(what)s") % said


def of_run(run: MachineRun, now: datetime) -> str:
    """A machine run in words, with its minutes; they are never labour."""
    ended: datetime | None = getattr(run, "ended_at", None)
    minutes = ((ended or now) - run.started_at) // MINUTE
    said = {
        "kind": run.get_kind_display(),
        "since": clock(run.started_at),
        "minutes": duration(minutes),
    }
    if ended is None:
        return _("%(kind)s since %(since)s, runs for %(minutes)s") % said
    return _("%(kind)s %(since)s–%(end)s, %(minutes)s") % (said | {"end": clock(ended)})
