"""Speed beside a named reference, at the size of a shop of some years."""

from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

SIZE = {"tickets": 10_000, "readings": 300_000, "rounds": 100, "seed": 1}


class Command(BaseCommand):
    help = "Measure pages, papers and verdicts beside a reference, on both databases."

    def add_arguments(self, parser: ArgumentParser) -> None:
        for name, usual in SIZE.items():
            parser.add_argument(f"--{name}", type=int, default=usual)
        parser.add_argument("--only-sqlite", action="store_true")
        parser.add_argument(
            "--here", action="store_true", help="in the connected, empty database"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        size = {name: options[name] for name in SIZE}
        if options["here"]:
            self.here(size)
            return
        from tests import elsewhere  # noqa: PLC0415  only where the tests are

        command = ["measure", "--here", *(f"--{k}={v}" for k, v in size.items())]
        only_sqlite = options["only_sqlite"]
        if not elsewhere.on_each_database(
            command, only_sqlite=only_sqlite, say=self.stdout.write
        ):
            raise CommandError("Measuring failed.")

    def here(self, size: dict[str, int]) -> None:
        from tests.measuring import run  # noqa: PLC0415  only where the tests are

        call_command("migrate", verbosity=0)
        rows = run.measured(run.Size(**size))
        self.stdout.write(f"\n{run.facts()}\n{run.table(rows)}")
