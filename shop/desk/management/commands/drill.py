"""Long fault runs: seeded, bounded, counted."""

import os
import subprocess
import sys
import tempfile
from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

NAMES = ("numbers", "twice", "readings")


class Command(BaseCommand):
    help = "Kill, repeat and roll back on purpose; count what survived."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("names", nargs="*", help=f"of {', '.join(NAMES)}")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--rounds", type=int, default=200)
        parser.add_argument("--only-sqlite", action="store_true")
        parser.add_argument("--here", action="store_true")

    def handle(self, *args: Any, **options: Any) -> None:
        names = options["names"] or list(NAMES)
        unknown = set(names) - set(NAMES)
        if unknown:
            raise CommandError(f"No drill is called {', '.join(sorted(unknown))}.")
        wish = [*names, f"--seed={options['seed']}", f"--rounds={options['rounds']}"]
        if options["here"]:
            self.here(names, options["seed"], options["rounds"])
            return
        from tests import machine  # noqa: PLC0415  only where the tests are

        machine.equip(needs_postgres=not options["only_sqlite"], needs_browser=False)
        self.elsewhere(wish, None)
        if options["only_sqlite"]:
            self.stdout.write("Left out: PostgreSQL (--only-sqlite)")
            return
        with machine.postgres() as url:
            self.elsewhere(wish, url)

    def here(self, names: list[str], seed: int, rounds: int) -> None:
        from importlib import import_module  # noqa: PLC0415  only where the tests are

        call_command("migrate", verbosity=0)
        results = [
            import_module(f"tests.drills.{name}").run(seed, rounds) for name in names
        ]
        for result in results:
            self.stdout.write(str(result))
        if any(result.lost for result in results):
            raise CommandError("Something was lost.")

    def elsewhere(self, wish: list[str], url: str | None) -> None:
        """A process of its own with an empty database of its own."""
        self.stdout.write("PostgreSQL" if url else "SQLite", ending="\n")
        self.stdout.flush()
        with tempfile.TemporaryDirectory(prefix="coldrail-drill-") as folder:
            environment = os.environ | {
                "COLDRAIL_DATA": folder,
                "COLDRAIL_PROFILE": "test",
            }
            environment.pop("DATABASE_URL", None)
            if url:
                environment["DATABASE_URL"] = url
            command = [sys.executable, "manage.py", "drill", "--here", *wish]
            done = subprocess.run(command, env=environment, check=False)
        if done.returncode:
            raise CommandError("The drill failed.")
