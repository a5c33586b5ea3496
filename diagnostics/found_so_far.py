"""What was found on a board, and whether later readings still show a fault.

A finding closes one fault: a board that is still dead goes on in its next epoch.
"""

from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics import passing, sayings
from diagnostics.bridge import HOUSEKEEPING, Judged, Known
from diagnostics.engine.yardsticks import Word
from diagnostics.models import Finding
from shop.intake.models import Ticket

MOST_SHOWN = 3


def of(known: Known, ticket: Ticket | None) -> dict[str, Any] | None:
    """The proven findings of this ticket, and what was read since the last."""
    if ticket is None:
        return None
    found = list(
        Finding.objects.filter(board=known.row, ticket=ticket, is_proven=True).order_by(
            "id"
        )
    )
    if not found:
        return None
    since = read_since(known, found[-1])
    bad = [one for one in since if one.verdict.word is Word.BAD]
    return {
        "findings": [sayings.finding(known.board, one) for one in found],
        "is_still_faulty": bool(bad),
        "since": told_since(known, since, bad),
    }


def read_since(known: Known, finding: Finding) -> list[Judged]:
    """The newest reading of our own at each point, taken since the repair."""
    return [
        one
        for one in passing.our_newest(known).values()
        if one.reading.epoch >= finding.epoch
        and one.check.id not in HOUSEKEEPING
        and not passing.is_stale(known, one)
    ]


def told_since(known: Known, since: list[Judged], bad: list[Judged]) -> str:
    if bad:
        shown = ", ".join(told(known, one) for one in bad[:MOST_SHOWN])
        return _("Later readings still show a fault: %(bad)s. The search goes on.") % {
            "bad": shown
        }
    if not since:
        return _("Nothing was read since: read again what was wrong.")
    return ngettext(
        "%(count)s reading since shows no fault.",
        "%(count)s readings since show no fault.",
        len(since),
    ) % {"count": len(since)}


def told(known: Known, one: Judged) -> str:
    title = sayings.row_title(known.board, one.check, one.point)
    return f"{capfirst(title)} {sayings.reading_value(one.reading)}"
