"""Jobs: due once, retried, never in each other's way; the lease and its holder."""

import os
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta
from datetime import time as of_day
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import OperationalError
from django.utils import timezone

from shop.records import clock, jobs
from shop.records import services as records
from shop.records.due import back_off, next_daily
from shop.records.job_process import NAME, Holding, JobProcess
from shop.records.models import JobRun, Lease

NOW = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)


@pytest.fixture
def own_jobs(monkeypatch: pytest.MonkeyPatch) -> None:
    """No job but those of the test."""
    monkeypatch.setattr(jobs, "REGISTERED", {})


@pytest.fixture
def at(monkeypatch: pytest.MonkeyPatch) -> list[datetime]:
    """The database's clock, standing still until the test moves it."""
    told = [NOW]
    monkeypatch.setattr(clock, "database_now", lambda: told[0])
    return told


# --- when ---------------------------------------------------------------------


def test_a_daily_job_is_due_once_on_days_whose_clocks_change() -> None:
    """The tz database: Paris left out 2:00 to 3:00 on 29 March 2026, and had it
    twice on 25 October 2026."""
    paris = ZoneInfo("Europe/Paris")
    moment, found = datetime(2026, 1, 1, tzinfo=UTC), []
    while moment.year == 2026:
        moment = next_daily(moment, of_day(2, 30), paris)
        found.append(moment.astimezone(paris))
    days = [one.date() for one in found]
    assert len(days) == len(set(days))
    assert days == [days[0] + timedelta(days=n) for n in range(len(days))]
    odd = {one.date().isoformat(): one for one in found if one.hour != 2}
    assert list(odd) == ["2026-03-29"]
    assert odd["2026-03-29"].hour == 3


def test_who_gives_a_message_up_has_tried_for_four_days() -> None:
    """RFC 5321, 4.5.4.1: at least four to five days (from memory)."""
    from shop.records.messages import MOST_TRIES

    waits = [back_off(tries) for tries in range(1, MOST_TRIES)]
    assert sum(waits, timedelta()) > timedelta(days=4)
    assert (min(waits), max(waits)) == (timedelta(minutes=1), timedelta(hours=6))


# --- what is due --------------------------------------------------------------


@pytest.mark.django_db
def test_a_job_is_done_when_due_and_not_before(
    own_jobs: None, at: list[datetime]
) -> None:
    done: list[datetime] = []
    jobs.every("count", 60, lambda: done.append(at[0]))
    for seconds in (0, 0, 59, 60, 61, 121):
        at[0] = NOW + timedelta(seconds=seconds)
        jobs.run_due()
    assert [(one - NOW).seconds for one in done] == [0, 60, 121]


@pytest.mark.django_db
def test_a_restart_neither_skips_nor_doubles_a_daily_job(
    own_jobs: None, at: list[datetime], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The process is new before each look: only rows tell what was done."""
    done: list[datetime] = []
    for hours in range(0, 24 * 6, 5):
        monkeypatch.setattr(jobs, "REGISTERED", {})
        jobs.daily("night", of_day(2, 30), lambda: done.append(at[0]))
        at[0] = NOW + timedelta(hours=hours)
        jobs.run_due()
    assert [one.date().day for one in done] == [5, 6, 7, 8, 9, 10]


@pytest.mark.django_db
def test_a_failing_job_waits_longer_each_time_and_stops_nobody(
    own_jobs: None, at: list[datetime], caplog: pytest.LogCaptureFixture
) -> None:
    done: list[str] = []

    def fail() -> None:
        raise ValueError("Ada Pell, +00 555 0142")

    jobs.every("bad", 60, fail)
    jobs.every("good", 60, lambda: done.append("good"))
    waits = []
    for _round in range(4):
        jobs.run_due()
        run = JobRun.objects.get(name="bad")
        waits.append((run.next_at - at[0]).total_seconds())
        at[0] = run.next_at
    assert waits == [60, 120, 240, 480]
    assert len(done) == 4
    assert run.failures == 4
    assert run.last_error.startswith("ValueError in fail, line ")
    assert "Ada" not in run.last_error + caplog.text
    assert "The job bad failed: ValueError" in caplog.text


@pytest.mark.django_db
def test_a_killed_run_is_done_again_after_a_wait(
    own_jobs: None, at: list[datetime]
) -> None:
    def killed() -> None:
        raise SystemExit

    jobs.every("killed", 600, killed)
    with pytest.raises(SystemExit):
        jobs.run_due()
    run = JobRun.objects.get()
    assert (run.failures, run.ended_at, run.started_at) == (1, None, NOW)
    assert run.next_at == NOW + timedelta(minutes=1)


@pytest.mark.django_db
def test_a_run_claimed_by_another_is_left(own_jobs: None, at: list[datetime]) -> None:
    done: list[str] = []

    def first() -> None:
        done.append("first")
        JobRun.objects.filter(name="second").update(next_at=NOW + timedelta(hours=1))

    jobs.every("first", 60, first)
    jobs.every("second", 60, lambda: done.append("second"))
    assert jobs.run_due() == 1
    assert done == ["first"]


def test_two_jobs_of_one_name_are_refused(own_jobs: None) -> None:
    jobs.every("one", 60, lambda: None)
    with pytest.raises(ValueError, match="Two jobs are called one"):
        jobs.every("one", 60, lambda: None)


def test_what_the_house_registers() -> None:
    assert set(jobs.REGISTERED) >= {
        "make clouds",
        "messages",
        "nightly backup",
        "sweep answers",
        "sweep cache",
        "sweep sessions",
    }


# --- the lease ----------------------------------------------------------------


@pytest.mark.django_db
def test_the_database_has_a_clock_that_runs_on() -> None:
    first = clock.database_now()
    time.sleep(0.01)
    second = clock.database_now()
    assert first < second
    assert abs(second - timezone.now()) < timedelta(minutes=1)


@pytest.mark.django_db
@pytest.mark.parametrize("days_off", [-2, 2])
def test_a_holder_whose_own_clock_is_wrong_holds_no_longer(
    days_off: int, time_machine: Any
) -> None:
    time_machine.move_to(timezone.now() + timedelta(days=days_off), tick=True)
    assert Holding(seconds=30).take()
    time_machine.move_to(timezone.now() - timedelta(days=days_off), tick=True)
    assert not Holding(seconds=30).take()
    left = Lease.objects.get(name=NAME).until - clock.database_now()
    assert timedelta(seconds=25) < left <= timedelta(seconds=30)


@pytest.mark.django_db
def test_the_holder_thinks_of_the_end_too_early(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    steady = [100.0]
    monkeypatch.setattr(clock, "steady", lambda: steady[0])
    one, other = Holding(seconds=10), Holding(seconds=10)
    assert one.take()
    assert (one.left, other.left) == (8.0, -102.0)
    steady[0] += 8.5
    assert one.left < 0
    assert not other.take()  # the database's clock says it is still one's
    one.give_up()
    assert other.take()
    assert records.lease_holder(NAME) == other.holder


@pytest.mark.django_db
def test_jobs_end_when_the_lease_is_late(own_jobs: None) -> None:
    """The first act outlasts the lease: the second is left to the next holder."""
    alarms: list[float] = []
    process = JobProcess(30, alarms.append)
    done: list[str] = []

    def outlast() -> None:
        done.append("first")
        process.holding.ends = 0.0

    jobs.every("a", 60, outlast)
    jobs.every("b", 60, lambda: done.append("second"))
    assert process.holding.take()
    process.work()
    assert done == ["first"]
    assert 20 < alarms[0] < 30
    assert alarms[-1] == 0


@pytest.mark.django_db
def test_once_does_what_is_due_unless_another_has_the_jobs(own_jobs: None) -> None:
    done: list[str] = []
    jobs.every("one", 60, lambda: done.append("one"))
    other = Holding(seconds=30)
    assert other.take()
    assert JobProcess(30).run_once() is None
    other.give_up()
    assert JobProcess(30).run_once() == 1
    assert done == ["one"]
    assert records.lease_holder(NAME) is None


@pytest.mark.django_db
def test_a_database_that_is_away_is_asked_again(
    own_jobs: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    process = JobProcess(1, lambda _seconds: None)
    tries: list[int] = []

    def take() -> bool:
        tries.append(1)
        if len(tries) == 3:
            process.stop()
        raise OperationalError("away")

    monkeypatch.setattr(process.holding, "take", take)
    process.run()
    assert len(tries) == 3


STUCK = """
import time
from shop.records.job_process import end_in
end_in(0.3)
sum(range(10**12))  # never comes back to Python
"""


def test_the_kernel_ends_an_act_that_is_stuck_in_foreign_code() -> None:
    django = "import django; django.setup();"
    done = subprocess.run(
        [sys.executable, "-c", django + STUCK],
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings"},
        check=False,
        timeout=120,
    )
    assert done.returncode == -signal.SIGALRM
