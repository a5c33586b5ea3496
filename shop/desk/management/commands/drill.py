"""Long fault runs: seeded, bounded, counted."""

from argparse import ArgumentParser
from importlib import import_module
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

NAMES = ("numbers", "twice", "readings")


class Command(BaseCommand):
    help = "Kill, repeat and roll back on purpose; count what survived."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("names", nargs="*", help=f"of {', '.join(NAMES)}")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--rounds", type=int, default=200)
        parser.add_argument("--only-sqlite", action="store_true")
        parser.add_argument(
            "--here", action="store_true", help="in the connected, empty database"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        names = options["names"] or list(NAMES)
        unknown = sorted(set(names) - set(NAMES))
        if unknown:
            raise CommandError(f"No drill is called {', '.join(unknown)}.")
        seed, rounds = options["seed"], options["rounds"]
        if options["here"]:
            self.here(names, seed, rounds)
            return
        from tests import elsewhere  # noqa: PLC0415  only where the tests are

        wish = ["drill", "--here", *names, f"--seed={seed}", f"--rounds={rounds}"]
        only_sqlite = options["only_sqlite"]
        if not elsewhere.on_each_database(
            wish, only_sqlite=only_sqlite, say=self.stdout.write
        ):
            raise CommandError("Something was lost.")

    def here(self, names: list[str], seed: int, rounds: int) -> None:
        call_command("migrate", verbosity=0)
        results = [
            import_module(f"tests.drills.{name}").run(seed, rounds) for name in names
        ]
        for result in results:
            self.stdout.write(f"{connection.vendor} {result}")
        if any(result.lost for result in results):
            raise CommandError("Something was lost.")
