"""``manage.py jobs``: what it says, and that it stops when told to."""

import os
import signal
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.core.management import call_command

from shop.records import jobs
from shop.records.job_process import Holding
from shop.records.models import JobRun
from tests import made_database
from tests.drills.place import ROOT

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def own_jobs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(jobs, "REGISTERED", {})
    jobs.every("count", 60, lambda: None)


def test_once_says_how_many_were_done_or_who_has_them(
    capsys: pytest.CaptureFixture[str],
) -> None:
    call_command("jobs", "--once")
    assert capsys.readouterr().out == "1 jobs done.\n"
    other = Holding(seconds=30)
    assert other.take()
    call_command("jobs", "--once")
    assert capsys.readouterr().out == f"Another process has the jobs: {other.holder}.\n"


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({}, "last never             next 2026-05-04 10:00"),
        ({"started_at": NOW}, "at it, or killed, since 10:00"),
        (
            {
                "started_at": NOW - timedelta(hours=1),
                "ended_at": NOW,
                "failures": 3,
                "last_error": "OSError",
            },
            "last 2026-05-04 10:00  next 2026-05-04 10:00  failed 3: OSError",
        ),
    ],
)
def test_the_list_says_when_and_how(
    capsys: pytest.CaptureFixture[str], changed: dict[str, object], says: str
) -> None:
    JobRun.objects.create(name="count", next_at=NOW, **changed)
    call_command("jobs", "--list")
    told = capsys.readouterr().out
    assert "At work: no process" in told
    assert says in told


@pytest.mark.one_database
def test_told_to_stop_it_gives_the_lease_up_and_ends(
    tmp_path: Path, made_folder: Path
) -> None:
    """A process and a SQLite of its own; it ends by itself, not by the signal."""
    own = {
        "COLDRAIL_DATA": str(tmp_path),
        "COLDRAIL_PROFILE": "test",
        "LOG_LEVEL": "INFO",
        "DJANGO_SETTINGS_MODULE": "tests.settings",
    }
    clean = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"} | own
    made_database.put_in(tmp_path, made_folder)
    with subprocess.Popen(
        [sys.executable, "-c", AT_WORK],
        env=clean,
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "working\n"
        process.send_signal(signal.SIGTERM)
        assert process.wait(60) == 0
        assert process.stdout.read() == "holder None\n"


AT_WORK = """
import django
django.setup()
from django.core.management import call_command
from shop.records import jobs, services
jobs.REGISTERED.clear()
jobs.every("say", 600, lambda: print("working", flush=True))
call_command("jobs")
print("holder", services.lease_holder("jobs"))
"""
