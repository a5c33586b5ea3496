"""When something was done at a tablet, whatever its clock says. PURE.

The tablet tells the moment by its own clock, what that clock said when it sent, and by
how much the clock was ahead of ours when the tablet last heard from us. The last is the
best: the clock may have been set right while the act waited.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

WAITED = timedelta(seconds=10)


@dataclass(frozen=True)
class Moment:
    """The moment by our clock, how far the tablet's was ahead, how long it waited."""

    at: datetime
    offset_seconds: float
    waited: timedelta

    @property
    def has_waited(self) -> bool:
        """Whether it was done before it could be sent, and not just now."""
        return self.waited > WAITED


def moment_of(
    *, taken: float, sent: float, ahead: float | None, now: datetime
) -> Moment | None:
    """All in milliseconds of the epoch; ``None`` for what is no moment.

    Never later than now: what has not happened yet can't have been read.

    >>> noon = datetime(2026, 3, 2, 12, tzinfo=UTC)
    >>> by_tablet = (noon + timedelta(days=1)).timestamp() * 1000
    >>> taken = by_tablet - 60_000
    >>> found = moment_of(taken=taken, sent=by_tablet, ahead=None, now=noon)
    >>> found.at.isoformat(), found.offset_seconds
    ('2026-03-02T11:59:00+00:00', 86400.0)
    """
    offset = sent / 1000 - now.timestamp() if ahead is None else ahead / 1000
    try:
        told = datetime.fromtimestamp(taken / 1000, UTC)
        at = told - timedelta(seconds=offset)
    except (OverflowError, OSError, ValueError):
        return None
    at = min(at, now)
    return Moment(at, round((told - at).total_seconds(), 3), now - at)
