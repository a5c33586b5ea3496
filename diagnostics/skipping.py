"""Which checks are passed by: said by somebody, until one is taken after all."""

from collections.abc import Mapping
from datetime import datetime

from diagnostics.bridge import Known
from diagnostics.models import PassedBy, ReadingSource

LATER, AFTER_ALL = PassedBy.Why.LATER, PassedBy.Why.AFTER_ALL

Skips = Mapping[str, PassedBy]


def skips_of(known: Known) -> Skips:
    """By check: the newest word that stands.

    Since the board came in this time; taking the check undoes it.
    """
    newest = {
        one.check_id: one for one in known.passed_by if one.epoch >= known.back_since
    }
    read = _last_read(known)
    return {
        check_id: one
        for check_id, one in newest.items()
        if one.why != AFTER_ALL and (check_id not in read or read[check_id] < one.at)
    }


def _last_read(known: Known) -> dict[str, datetime]:
    """When each check was last read by us."""
    return {
        one.check_id: one.taken_at
        for one in known.readings
        if one.source == ReadingSource.OURS
    }
