"""Long fault runs: seeded, bounded, counted."""

from argparse import ArgumentParser
from importlib import import_module
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

NAMES = (
    *("numbers", "twice", "readings", "backups", "restore", "mails"),
    *("machines", "e_invoices", "issuing", "books", "stock"),
)
# Judged by time: only when asked for, on a quiet machine.
WORKING_DAY = "working_day"
# In a browser: only when asked for; the first over a folder of its own.
FIRST_DAY, OUTBOX = "first_day", "outbox"
ASKED_FOR = (FIRST_DAY, OUTBOX, WORKING_DAY)


class Command(BaseCommand):
    help = "Run faults against the shop: killed processes, double taps, gaps."

    def add_arguments(self, parser: ArgumentParser) -> None:
        from tests import elsewhere  # noqa: PLC0415  only where the tests are

        parser.add_argument("names", nargs="*", help=", ".join([*NAMES, *ASKED_FOR]))
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--rounds", type=int, default=200)
        elsewhere.add_choice(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        from tests import elsewhere  # noqa: PLC0415  only where the tests are

        names = options["names"] or list(NAMES)
        unknown = sorted(set(names) - {*NAMES, *ASKED_FOR})
        if unknown:
            raise CommandError(f"No drill is called {', '.join(unknown)}.")
        seed, rounds = options["seed"], options["rounds"]
        if names == [FIRST_DAY]:
            self.here(names, seed, rounds)
            return
        if options["here"]:
            elsewhere.into_empty_database()
            self.here(names, seed, rounds)
            return
        wish = ["drill", "--here", *names, f"--seed={seed}", f"--rounds={rounds}"]
        if not elsewhere.on_each_database(wish, options["database"], self.stdout.write):
            raise CommandError("Something was lost.")

    def here(self, names: list[str], seed: int, rounds: int) -> None:
        is_lost = False
        for name in names:
            result = import_module(f"tests.drills.{name}").run(seed, rounds)
            self.stdout.write(f"{connection.vendor} {result}")
            self.stdout.flush()
            is_lost = is_lost or bool(result.lost)
        if is_lost:
            raise CommandError("Something was lost.")
