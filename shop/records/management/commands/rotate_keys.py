"""A new key for what lies sealed in the database, and the old one away."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shop.records import field_keys, rotating


class Command(BaseCommand):
    help = "Seal passcodes with a new key. Killed in the middle, run it again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--drop-old",
            action="store_true",
            help="take the older keys away once nothing needs them",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        self._add_key()
        found = rotating.turn_over()
        for count in found:
            self.stdout.write(
                f"{count.column}: {count.newest} under the newest key "
                f"({count.turned} turned now), {count.older} under an older, "
                f"{count.lost} that no key opens, {count.empty} empty"
            )
        if left := sum(count.older for count in found):
            raise CommandError(f"{left} rows changed meanwhile. Run it again.")
        if options["drop_old"]:
            self._drop()

    def _add_key(self) -> None:
        """One rotation at a time: what was begun before is finished first."""
        if any(count.older for count in rotating.counts()):
            self.stdout.write("Going on with the rotation that was begun before.")
            return
        try:
            field_keys.add()
        except field_keys.KeysFromOutside:
            self.stdout.write(
                "The keys come from COLDRAIL_FIELD_KEYS: "
                "the first of them is taken as the new one."
            )

    def _drop(self) -> None:
        try:
            gone = field_keys.drop_older()
        except field_keys.KeysFromOutside:
            raise CommandError(
                "Take the older keys out of COLDRAIL_FIELD_KEYS yourself."
            ) from None
        self.stdout.write(f"{gone} older keys taken away.")
