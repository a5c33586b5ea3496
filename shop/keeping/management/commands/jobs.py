"""The shop's jobs: messages, sweeping, clouds, the nightly backup."""

import signal
from argparse import ArgumentParser
from types import FrameType
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from shop.records import jobs
from shop.records import services as records
from shop.records.job_process import NAME, JobProcess
from shop.records.models import JobRun


class Command(BaseCommand):
    help = (
        "Run the shop's jobs. Start it wherever you like and as often as you like: "
        "one process works, the others stand by."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--once", action="store_true", help="do what is due and end"
        )
        parser.add_argument(
            "--list", action="store_true", help="say when each ran and is due"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["list"]:
            self.tell()
            return
        process = JobProcess(settings.JOBS_LEASE_SECONDS)
        if not options["once"]:
            stop_at_signals(process)
            process.run()
            return
        done = process.run_once()
        if done is None:
            holder = records.lease_holder(NAME)
            self.stdout.write(f"Another process has the jobs: {holder}.")
        else:
            self.stdout.write(f"{done} jobs done.")

    def tell(self) -> None:
        holder = records.lease_holder(NAME)
        self.stdout.write(f"At work: {holder or 'no process'}")
        for run in jobs.runs():
            self.stdout.write(f"  {run.name:16} {told_of(run)}")


def told_of(run: JobRun) -> str:
    last = f"{run.ended_at:%Y-%m-%d %H:%M}" if run.ended_at else "never"
    told = f"last {last:16}  next {run.next_at:%Y-%m-%d %H:%M}"
    if run.is_open:
        return f"{told}  at it, or killed, since {run.started_at:%H:%M}"
    return f"{told}  failed {run.failures}: {run.last_error}" if run.failures else told


def stop_at_signals(process: JobProcess) -> None:
    """End after the act in hand; told twice, at once (an act may be killed)."""

    def stop(number: int, _frame: FrameType | None) -> None:
        signal.signal(number, signal.SIG_DFL)
        process.stop()

    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, stop)
