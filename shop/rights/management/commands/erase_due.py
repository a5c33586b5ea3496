"""Erase what has been kept long enough; --dry-run lists it."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from shop.people.models import Shop
from shop.rights.due import due, erase_due, finish


class Command(BaseCommand):
    help = "Erase what is personal and was kept for its days."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--dry-run", action="store_true", help="list what is due, erase nothing"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        for shop in Shop.objects.order_by("pk"):
            if options["dry_run"]:
                self.list(shop)
                continue
            done = erase_due(shop)
            told = ", ".join(f"{what} {count}" for what, count in done.items())
            self.stdout.write(f"{shop}: {told}")
        if not options["dry_run"] and (left := finish()):
            self.stderr.write(f"{left} files of messages are still there.")

    def list(self, shop: Shop) -> None:
        """By number: the list itself names nobody."""
        for one in due(shop):
            self.stdout.write(f"{shop}, {one.what}: {len(one.rows)}")
            for said in one.said():
                self.stdout.write(f"  {said}")
