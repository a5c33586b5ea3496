"""Speed beside a named reference, at the size of a shop of some years."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

SIZE = {"tickets": 10_000, "readings": 300_000, "rounds": 100, "seed": 1}


class Command(BaseCommand):
    help = "Measure pages, papers and verdicts beside a reference, on both databases."

    def add_arguments(self, parser: ArgumentParser) -> None:
        from tests import elsewhere  # noqa: PLC0415  only where the tests are

        for name, usual in SIZE.items():
            parser.add_argument(f"--{name}", type=int, default=usual)
        parser.add_argument(
            "--built",
            metavar="KEYS",
            help="measure the connected database, by a file of its shop's keys (JSON)",
        )
        elsewhere.add_choice(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        from tests import elsewhere  # noqa: PLC0415  only where the tests are

        size = {name: options[name] for name in SIZE}
        if options["built"]:
            self.here({**size, "built": options["built"]})
            return
        if options["here"]:
            elsewhere.into_empty_database()
            self.here(size)
            return
        command = ["measure", "--here", *(f"--{k}={v}" for k, v in size.items())]
        if not elsewhere.on_each_database(
            command, options["database"], self.stdout.write
        ):
            raise CommandError("Measuring failed.")

    def here(self, size: dict[str, Any]) -> None:
        from tests.measuring import run  # noqa: PLC0415  only where the tests are

        self.stdout.write(run.account(run.Size(**size)))
