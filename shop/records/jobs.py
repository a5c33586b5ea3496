"""The shop's jobs: what is to be done again and again, and when it is due.

A room registers its own in ``AppConfig.ready``; one process at a time runs them
(``job_process.py``). An act may be killed at any moment and is then done again, so
it must bear being done twice. A long one asks ``may_go_on`` between its parts.
"""

import logging
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta, tzinfo

from django.conf import settings
from django.db import close_old_connections, connection
from django.db.models import F

from shop.records import clock
from shop.records.due import FIRST_WAIT, back_off, next_daily
from shop.records.models import JobRun

log = logging.getLogger(__name__)
Act = Callable[[], None]
GoOn = Callable[[], bool]


class Said(Exception):
    """Why a job failed, in words that name no person: kept and logged as they are."""


@dataclass(frozen=True)
class Job:
    """An act, when it is due after a moment, and how soon it is first retried."""

    name: str
    act: Act
    first: Callable[[datetime], datetime]
    after: Callable[[datetime], datetime]
    retry: timedelta = FIRST_WAIT


REGISTERED: dict[str, Job] = {}
_asked: list[GoOn] = []


def every(name: str, seconds: float, act: Act) -> None:
    """Do something again and again, ``seconds`` after it was last done."""
    pause = timedelta(seconds=seconds)
    _register(
        Job(name, act, lambda now: now, lambda now: now + pause, min(FIRST_WAIT, pause))
    )


def daily(
    name: str, at: time, act: Act, zone: Callable[[], tzinfo] = lambda: UTC
) -> None:
    """Do something once a day, at a time of the wall clock in a zone."""

    def following(now: datetime) -> datetime:
        return next_daily(now, at, zone())

    _register(Job(name, act, following, following))


def _register(job: Job) -> None:
    if job.name in REGISTERED:
        raise ValueError(f"Two jobs are called {job.name}.")
    REGISTERED[job.name] = job


def may_go_on() -> bool:
    """For a long act, between its parts: False when this process is to stop."""
    return all(asked() for asked in _asked)


def hasten(name: str) -> None:
    """Due now, whatever was planned."""
    now = clock.database_now()
    row = JobRun.objects.filter(name=name)
    if not row.update(next_at=now):
        JobRun.objects.get_or_create(name=name, defaults={"next_at": now})


def runs() -> list[JobRun]:
    """When each job ran last and is due next, by name."""
    known = JobRun.objects.in_bulk(list(REGISTERED))
    return [known[name] for name in sorted(known)]


def run_due(go_on: GoOn = lambda: True) -> int:
    """Do every job that is due; how many were done. Each claims its run first."""
    _asked.append(go_on)
    try:
        return sum(_run(job, run) for job, run in _due() if may_go_on())
    finally:
        _asked.remove(go_on)


def _due() -> list[tuple[Job, JobRun]]:
    now = clock.database_now()
    known = set(JobRun.objects.values_list("name", flat=True))
    for name in set(REGISTERED) - known:
        first = REGISTERED[name].first(now)
        JobRun.objects.get_or_create(name=name, defaults={"next_at": first})
    due = JobRun.objects.filter(name__in=REGISTERED, next_at__lte=now)
    return [(REGISTERED[run.name], run) for run in due.order_by("next_at", "name")]


def _run(job: Job, run: JobRun) -> bool:
    """Claim a run, do it, note how it went.

    The claim moves the run on as if it had failed: whoever is killed within it has
    noted by then when to try again.
    """
    now = clock.database_now()
    rows = JobRun.objects.filter(name=job.name)
    claimed = rows.filter(next_at=run.next_at).update(
        next_at=now + back_off(run.failures + 1, job.retry),
        started_at=now,
        failures=F("failures") + 1,
    )
    if not claimed:
        return False
    error = _error_of(job)
    now = clock.database_now()
    if error:
        rows.update(ended_at=now, last_error=error)
    else:
        rows.update(
            next_at=job.after(now),
            ended_at=now,
            went_well_at=now,
            failures=0,
            last_error="",
        )
    return True


def _error_of(job: Job) -> str:
    """Do the act; the kind and place of what it raised, or nothing."""
    try:
        job.act()
    except Exception as error:  # noqa: BLE001  one job never stops the others
        told = told_of(error)
        log.error("The job %s failed: %s", job.name, told)
        let_go()
        return told
    return ""


def let_go() -> None:
    """Drop a connection that is broken or old; never one within a transaction."""
    if not connection.in_atomic_block:
        close_old_connections()


def told_of(error: BaseException) -> str:
    """An error's kind and place; its message may hold what a person wrote."""
    if isinstance(error, Said):
        return str(error)[:200]
    ours = str(settings.BASE_DIR)
    frames = traceback.extract_tb(error.__traceback__)
    own = [frame for frame in frames if frame.filename.startswith(ours)]
    place = own[-1] if own else None
    where = f" in {place.name}, line {place.lineno}" if place else ""
    return f"{type(error).__name__}{where}"[:200]
