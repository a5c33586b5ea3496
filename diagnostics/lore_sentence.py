"""The sentence that a board model's lore opens with. Few boards are said to be few."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.lore_faults import Fault
from diagnostics.lore_minutes import Minutes
from diagnostics.lore_tickets import Seen
from shop.shown import date_format

FEWEST = 3  # under three a share or a middle would be an anecdote (domain, 9)


@dataclass(frozen=True)
class Facts:
    """What is counted; ``causes`` are the findings of each part, commonest first."""

    boards: int
    fixed: int
    since: datetime | None
    causes: Sequence[tuple[str, int]]
    minutes: Minutes | None


def facts_of(seen: Seen, faults: Sequence[Fault], minutes: Minutes | None) -> Facts:
    by_part: dict[str, int] = {}
    for fault in faults:
        by_part[fault.part] = by_part.get(fault.part, 0) + fault.times
    causes = sorted(by_part.items(), key=lambda one: -one[1])
    return Facts(seen.boards, seen.fixed, seen.since, causes, minutes)


def sentence(facts: Facts, now: datetime) -> str:
    """ "14 boards seen since March, 11 fixed; mostly the 3.3/5 V controller (5 of 11).
    Half took under 95 minutes."
    """
    if not facts.boards:
        return _("No board of this model has come in yet.")
    seen = f"{_seen(facts, now)}; {_causes(facts)}"
    return f"{seen}. {_time(facts)}."


def _seen(facts: Facts, now: datetime) -> str:
    assert facts.since is not None  # somebody brought them
    said = ngettext(
        "%(boards)d board seen since %(since)s, %(fixed)d fixed",
        "%(boards)d boards seen since %(since)s, %(fixed)d fixed",
        facts.boards,
    )
    day = _month(facts.since, now)
    return said % {"boards": facts.boards, "since": day, "fixed": facts.fixed}


def _month(since: datetime, now: datetime) -> str:
    """The month; its year too where the month alone could be this year's."""
    is_near = (now - since).days < 300
    return date_format(since, "F" if is_near else "F Y")


def _causes(facts: Facts) -> str:
    total = sum(times for _part, times in facts.causes)
    if not total:
        return _("no cause proven yet")
    part, times = facts.causes[0]
    if total < FEWEST:
        return _("too few causes proven yet to say what fails")
    if len(facts.causes) > 1 and facts.causes[1][1] == times:
        return _("no part more often than the others (%(n)d causes)") % {"n": total}
    counted = {"part": part, "times": times, "total": total}
    if 2 * times > total:
        return _("mostly the %(part)s (%(times)d of %(total)d)") % counted
    return _("most often the %(part)s (%(times)d of %(total)d)") % counted


def _time(facts: Facts) -> str:
    if facts.minutes is None or facts.minutes.jobs < FEWEST:
        return _("Too few jobs with time on record yet to say how long one takes")
    return _("Half took up to %(minutes)d minutes") % {
        "minutes": facts.minutes.half_under
    }
