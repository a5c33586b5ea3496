"""Speed beside a named reference, at the size of a shop of some years."""

import os
import subprocess
import sys
import tempfile
from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand

HERE = "--here"


class Command(BaseCommand):
    help = "Measure pages, papers and verdicts beside a reference, on both databases."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--tickets", type=int, default=10_000)
        parser.add_argument("--readings", type=int, default=300_000)
        parser.add_argument("--rounds", type=int, default=100)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--only-sqlite", action="store_true")
        parser.add_argument(
            HERE, action="store_true", help="in the connected, empty database"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        size = {k: options[k] for k in ("tickets", "readings", "rounds", "seed")}
        if options["here"]:
            self.here(size)
            return
        from tests import machine  # noqa: PLC0415  only where the tests are

        machine.equip(needs_postgres=not options["only_sqlite"], needs_browser=False)
        self.elsewhere(size, None)
        if options["only_sqlite"]:
            self.stdout.write("Left out: PostgreSQL (--only-sqlite)")
            return
        with machine.postgres() as url:
            self.elsewhere(size, url)

    def here(self, size: dict[str, int]) -> None:
        from tests.measuring import run  # noqa: PLC0415  only where the tests are

        call_command("migrate", verbosity=0)
        rows = run.measured(run.Size(**size))
        self.stdout.write(f"\n{run.facts()}\n{run.table(rows)}")

    def elsewhere(self, size: dict[str, int], url: str | None) -> None:
        """A process of its own with an empty database of its own."""
        with tempfile.TemporaryDirectory(prefix="coldrail-measure-") as folder:
            environment = os.environ | {
                "COLDRAIL_DATA": folder,
                "COLDRAIL_PROFILE": "test",
            }
            environment.pop("DATABASE_URL", None)
            if url:
                environment["DATABASE_URL"] = url
            wishes = [f"--{name}={value}" for name, value in size.items()]
            command = [sys.executable, "manage.py", "measure", HERE, *wishes]
            subprocess.run(command, env=environment, check=True)
