"""What a figure of the server means for the shop: well, soon a fault, or a fault. PURE.

The bounds are judgement (jd) unless a source is named.
"""

import datetime as dt
import enum
from dataclasses import dataclass, field

GB = 10**9
LITTLE_DISK, NO_DISK = 5 * GB, 1 * GB
OLD_BACKUP = dt.timedelta(hours=26)  # one night was missed


class Level(enum.StrEnum):
    """The codes are those of the marks."""

    WELL = "good"
    SOON = "watch"
    FAULT = "bad"
    UNKNOWN = "unclear"


@dataclass(frozen=True)
class Finding:
    """``code`` finds the words in ``words.py``; ``values`` go into them."""

    code: str
    level: Level
    values: dict[str, object] = field(default_factory=dict)


def of_certificate(days_left: int, *, is_begun: bool, has_key: bool) -> Finding:
    """The server's certificate by its end, and whether it can be renewed."""
    values: dict[str, object] = {"days": days_left}
    if days_left < 0:
        return Finding("certificate.ended", Level.FAULT, {"days": -days_left})
    if not is_begun:
        return Finding("certificate.not_yet", Level.FAULT)
    if not has_key:
        return Finding("certificate.authority_lost", Level.SOON, values)
    if days_left < 20:
        return Finding("certificate.not_renewed", Level.SOON, values)
    return Finding("certificate.well", Level.WELL, values)


def of_host(host: str, *, is_named: bool) -> Finding:
    code, level = ("well", Level.WELL) if is_named else ("unnamed", Level.FAULT)
    return Finding(f"host.{code}", level, {"host": host})


def of_disk(free: int) -> Finding:
    values: dict[str, object] = {"gb": f"{free / GB:.1f}"}
    if free < NO_DISK:
        return Finding("disk.full", Level.FAULT, values)
    if free < LITTLE_DISK:
        return Finding("disk.little", Level.SOON, values)
    return Finding("disk.well", Level.WELL, values)


def of_jobs(until: dt.datetime | None, now: dt.datetime) -> Finding:
    """The job process, by the lease that it renews."""
    if until is None:
        return Finding("jobs.never", Level.FAULT)
    if until <= now:
        minutes = int((now - until).total_seconds() // 60)
        return Finding("jobs.gone", Level.FAULT, {"minutes": minutes})
    return Finding("jobs.well", Level.WELL)


def of_backup(last: dt.datetime | None, now: dt.datetime) -> Finding:
    if last is None:
        return Finding("backup.never", Level.SOON)
    age = now - last
    hours: dict[str, object] = {"hours": int(age.total_seconds() // 3600)}
    if age > OLD_BACKUP:
        return Finding("backup.stale", Level.FAULT, hours)
    return Finding("backup.well", Level.WELL, hours)


def of_migrations(missing: int) -> Finding:
    if missing:
        return Finding("migrations.missing", Level.FAULT, {"count": missing})
    return Finding("migrations.well", Level.WELL)


def of_yes_or_no(subject: str, *, is_well: bool, otherwise: Level) -> Finding:
    """A matter that has two outcomes, ``subject.well`` and ``subject.not``."""
    if is_well:
        return Finding(f"{subject}.well", Level.WELL)
    return Finding(f"{subject}.not", otherwise)
