"""All checks and tests, on SQLite, on PostgreSQL and in a real browser."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shop.bootstrap import Stop


class Command(BaseCommand):
    help = "Run every check and test; what the machine lacks is installed or named."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--only-sqlite", action="store_true", help="leave PostgreSQL out"
        )
        parser.add_argument(
            "--no-browser", action="store_true", help="leave the browser tests out"
        )
        parser.add_argument(
            "rest", nargs="*", help="paths, or after -- any arguments, for pytest"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        from tests.runner import Wish, run  # noqa: PLC0415  only where tests are kept

        wish = Wish(
            only_sqlite=options["only_sqlite"],
            no_browser=options["no_browser"],
            rest=tuple(options["rest"]),
        )
        try:
            sys.exit(run(wish))
        except Stop as reason:
            raise CommandError(str(reason)) from reason
