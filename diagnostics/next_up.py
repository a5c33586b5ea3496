"""Which job to take next, and why. PURE.

The earliest promised day first: with jobs of one length that keeps the latest of all
as little late as can be (J. R. Jackson, 1955, "Scheduling a production line to
minimize maximum tardiness"). Of one day, and of those without a promise: a warranty
return, then a job whose part came, then one to which the customer said yes, then what
has lain longest (judgement).
"""

from dataclasses import dataclass
from datetime import date, datetime

LATE, TODAY, TOMORROW, ON = "late", "today", "tomorrow", "on"
WARRANTY, PART_CAME, SAID_YES = "warranty", "part_came", "said_yes"

Key = tuple[date, bool, bool, bool, datetime]


@dataclass(frozen=True)
class Job:
    """A job that may be taken: what speaks for it, and since when it lies."""

    since: datetime
    promised: date | None = None
    is_warranty: bool = False
    has_part: bool = False
    said_yes: bool = False


def order(job: Job) -> Key:
    """What a list of jobs is sorted by: the first to take comes first."""
    return (
        job.promised or date.max,
        not job.is_warranty,
        not job.has_part,
        not job.said_yes,
        job.since,
    )


def reasons(job: Job, today: date) -> tuple[str, ...]:
    """What speaks for a job, as codes, in the order in which it counts."""
    told = {
        WARRANTY: job.is_warranty,
        PART_CAME: job.has_part,
        SAID_YES: job.said_yes,
    }
    promised = (_promised(job.promised, today),) if job.promised else ()
    return (*promised, *(code for code, is_so in told.items() if is_so))


def _promised(day: date, today: date) -> str:
    days = (day - today).days
    if days < 0:
        return LATE
    return {0: TODAY, 1: TOMORROW}.get(days, ON)
